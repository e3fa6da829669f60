"""The pages around attempts, and what their forms offer to whom."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from checkoffs.attempts.forms import ChooseForm, HandOverForm, MoveForm
from checkoffs.attempts.models import Attempt, Permit, Sheet
from checkoffs.people.models import Membership, Role, User
from checkoffs.people.permissions import Access
from tests.attempts.make import open_attempt, small_version, stated_version
from tests.cases.make import pump_template
from tests.world import World

OPEN = reverse("attempts:open")


def choice(world: World, **changes: Any) -> dict[str, str]:
    version = changes.pop("version", None) or small_version(world)
    return {"student": str(world.student.opaque), "version": str(version.pk), "purpose": "summative"} | changes


def test_from_choice_to_the_open_sheet(world: World, signed_in: Any) -> None:
    Membership.objects.filter(person=world.student).update(time_factor=Decimal("1.50"))
    client, version = signed_in("evaluator"), stated_version(world)
    template = pump_template(world, version.procedure)
    assert client.get(OPEN).status_code == 200
    page = client.get(OPEN, choice(world, version=version))
    text = page.content.decode()
    for words in ("Marit Adeyemi", "Dopamine by pump", "× 1.5", "E. Quill (invented)", "The numbers are drawn"):
        assert words in text
    done = client.post(OPEN, choice(world, version=version, template=str(template.pk), place="bay 3"))
    sheet = Sheet.objects.get()
    assert done.headers["Location"] == reverse("attempts:sheet", args=[sheet.pk])
    assert sheet.attempt.case is not None
    again = client.post(OPEN, choice(world, version=version, template=str(template.pk)))
    assert again.headers["Location"] == done.headers["Location"]


def test_the_answer_is_not_on_the_opening_page(world: World, signed_in: Any) -> None:
    version = stated_version(world)
    fields = {"dose": {"fixed": "5 mcg/kg/min"}, "weight": {"fixed": "83 kg"}, "drug_amount": {"fixed": "400 mg"}}
    fields |= {"volume": {"fixed": "250 mL"}, "reserve": {"fixed": "20 mL"}}
    pump_template(world, version.procedure, fields=fields)
    text = signed_in("evaluator").get(OPEN, choice(world, version=version)).content.decode()
    assert "5 mcg/kg/min" in text
    assert "15.6" not in text  # 5 × 83 × 60 ÷ 1,600 = 15.5625


def test_a_procedure_without_a_fitting_case_cannot_be_opened(world: World, signed_in: Any) -> None:
    client, version = signed_in("evaluator"), stated_version(world)
    assert "An instructor writes one" in client.get(OPEN, choice(world, version=version)).content.decode()
    client.post(OPEN, choice(world, version=version))
    assert not Attempt.objects.exists()


def test_what_stands_in_the_way_is_said_and_only_an_instructor_gets_past(world: World, signed_in: Any) -> None:
    procedure = small_version(world).procedure
    Permit.objects.create(student=world.student, procedure=procedure, may=False, because="Remediation is open.")
    evaluator, instructor = signed_in("evaluator"), signed_in("instructor")
    text = evaluator.get(OPEN, choice(world)).content.decode()
    assert "Remediation is open." in text
    assert "Open the sheet" not in text
    refused = evaluator.post(OPEN, choice(world, override_reason="please"))
    assert "Only an instructor" in refused.content.decode()
    assert not Attempt.objects.exists()
    assert "all the same" in instructor.get(OPEN, choice(world)).content.decode()
    assert instructor.post(OPEN, choice(world, override_reason="done on paper")).status_code == 302


@pytest.mark.parametrize("changes", [{"student": "x"}, {"version": "x"}, {"purpose": "exam"}, {"template": "x"}])
def test_odd_choices_are_form_errors(world: World, signed_in: Any, changes: dict[str, str]) -> None:
    assert signed_in("evaluator").post(OPEN, choice(world) | changes).status_code == 200
    assert not Attempt.objects.exists()


def test_forms_offer_only_ones_own_people_and_procedures(world: World) -> None:
    def students(kind: str) -> set[User]:
        return set(ChooseForm(access=Access.of(world.people[kind])).fields["student"].queryset)  # type: ignore[attr-defined]

    small_version(world)
    assert students("evaluator") == {world.student, world.fellow_student}
    assert students("other_cohort_evaluator") == {world.other_cohort_student}
    assert students("fellow_student") == {world.student}
    assert students("outsider") == set()
    outside = ChooseForm(access=Access.of(world.outsider))
    assert not outside.fields["version"].queryset.exists()  # type: ignore[attr-defined]
    fellow = ChooseForm(access=Access.of(world.fellow_student))
    assert [value for value, _ in fellow.fields["purpose"].choices] == ["practice"]  # type: ignore[attr-defined]


def test_a_student_practises_with_a_fellow_student(world: World, signed_in: Any) -> None:
    client = signed_in("fellow_student")
    assert (
        client.get(OPEN, {"student": str(world.student.opaque), "version": small_version(world).pk}).status_code
        == 200
    )
    assert client.post(OPEN, choice(world)).status_code == 200
    assert not Attempt.objects.exists()
    assert client.post(OPEN, choice(world, purpose="practice")).status_code == 302
    assert Sheet.objects.get().evaluator == world.fellow_student


def test_a_no_show_is_noted_with_its_reason(world: World, signed_in: Any) -> None:
    client, address = signed_in("evaluator"), reverse("attempts:no_show")
    assert client.get(address, choice(world)).status_code == 200
    assert client.post(address, choice(world)).status_code == 200
    assert client.post(address, choice(world, reason="called twice")).status_code == 302
    assert Attempt.objects.get().no_show


def test_the_second_sheet_page_opens_one_and_leads_back_to_it(world: World, signed_in: Any) -> None:
    attempt = open_attempt(world)
    address = reverse("attempts:second_sheet", args=[attempt.pk])
    client = signed_in("second_evaluator")
    assert "until both are signed" in client.get(address).content.decode()
    made = client.post(address).headers["Location"]
    assert client.get(address).headers["Location"] == made
    Attempt.objects.update(state="signed")
    assert "no longer open" in signed_in("instructor").post(address).content.decode()


def test_handing_over_and_moving_by_their_pages(world: World, signed_in: Any) -> None:
    sheet = open_attempt(world).sheets.get()
    client = signed_in("evaluator")
    offered = HandOverForm(sheet=sheet).fields["to"].queryset  # type: ignore[attr-defined]
    assert set(offered) == {world.instructor, world.second_instructor, world.second_evaluator}
    right = MoveForm(attempt=sheet.attempt).fields["student"].queryset  # type: ignore[attr-defined]
    assert set(right) == {world.fellow_student}
    move = reverse("attempts:move", args=[sheet.attempt_id])
    data = {"student": str(world.fellow_student.opaque), "reason": "badges swapped"}
    assert client.post(move, data).status_code == 302
    assert Attempt.objects.get().student == world.fellow_student
    hand_over = reverse("attempts:hand_over", args=[sheet.pk])
    data = {"to": str(world.second_evaluator.opaque), "reason": "fire drill"}
    assert client.post(hand_over, data).status_code == 302
    assert Sheet.objects.get().evaluator == world.second_evaluator


def test_the_opening_page_costs_the_same_for_few_students_and_for_many(world: World, signed_in: Any) -> None:
    client = signed_in("evaluator")
    client.get(OPEN, choice(world))
    counts = []
    for extra in (0, 3):
        for number in range(extra):
            person = User.objects.create_user(f"more{number}", full_name=f"Extra Person {number}")
            Membership.objects.create(
                person=person,
                program=world.program,
                cohort=world.cohort,
                role=Role.STUDENT,
                starts=world.cohort.starts,
            )
        with CaptureQueriesContext(connection) as seen:
            client.get(OPEN, choice(world))
        counts.append(len(seen))
    assert counts[0] == counts[1]

"""Pages of people: filters live in the address, forms keep what was typed, rights reach into each act."""

from __future__ import annotations

from datetime import date, time
from decimal import Decimal
from typing import Any

import pytest
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from checkoffs.ledger.actions import audit
from checkoffs.ledger.models import AuditEntry
from checkoffs.people import rate
from checkoffs.people.inputs import DateInput, TimeInput
from checkoffs.people.models import Cohort, Membership, SignInLink, User
from checkoffs.people.trail import act_words
from tests.world import World

ROSTER = "full_name,email,cohort\nNan Quill,nan@x.example,26-A\n"


def names(response: Any) -> list[str]:
    """Who is listed."""
    return [person.full_name for person in response.context["page"]]


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("role=technician", ["Bram Teller"]),
        ("text=adeyemi", ["Marit Adeyemi"]),
        ("text=H-20400", ["Ansa Whitlow"]),
        ("text=marit+nobody", []),
        ("state=off", []),
        ("role=student&sort=-name", ["Tove Lindgrove", "Piers Aldous", "Marit Adeyemi"]),
        ("role=nonsense&page=99", None),
    ],
)
def test_filters_and_order(world: World, signed_in: Any, query: str, expected: list[str] | None) -> None:
    """Each filter alone; nonsense in the address breaks nothing."""
    response = signed_in("administrator").get(f"/people/?{query}")
    assert response.status_code == 200
    if expected is not None:
        assert names(response) == expected


def test_cohort_filter_offers_own_cohorts_only(world: World, signed_in: Any) -> None:
    """Another program's cohort in the address shows nobody of it."""
    client = signed_in("coordinator")
    assert "Tove Lindgrove" in names(client.get(f"/people/?cohort={world.other_cohort.pk}"))
    assert "Vera Stranger" not in names(client.get(f"/people/?cohort={world.foreign_cohort.pk}"))


def test_csv_is_the_filtered_list(world: World, signed_in: Any) -> None:
    """And it can be imported again without a change."""
    client = signed_in("administrator")
    response = client.get("/people/people.csv?role=student")
    text = response.content.decode()
    assert "Marit Adeyemi" in text
    assert "Bram Teller" not in text
    plan = client.post("/people/import/", {"program": world.program.pk, "text": text}).context["plan"]
    assert {row.effect for row in plan.rows} == {"same"}


def test_a_form_with_errors_keeps_what_was_typed(world: World, signed_in: Any) -> None:
    """An address that is taken is said beside its field."""
    data = {"full_name": "Nan Quill", "email": "student@harrowmere.example", "role": "student",
            "place": f"c{world.cohort.pk}", "starts": "2026-01-05"}  # fmt: skip
    response = signed_in("coordinator").post("/people/add/", data)
    assert response.context["form"].errors.keys() == {"email"}
    assert 'value="Nan Quill"' in response.content.decode()


@pytest.mark.parametrize("place", ["foreign", "whole"])
def test_a_coordinator_gives_no_other_role(world: World, signed_in: Any, place: str) -> None:
    """Neither by a forged role, nor in another program's cohort."""
    where = f"c{world.foreign_cohort.pk}" if place == "foreign" else f"p{world.program.pk}"
    data = {"full_name": "Nan Quill", "role": "administrator", "place": where, "starts": "2026-01-05"}
    assert signed_in("coordinator").post("/people/add/", data).status_code == 200
    assert not User.objects.filter(full_name="Nan Quill").exists()


def test_extra_time_shows_the_effect_only(world: World, signed_in: Any) -> None:
    """There is a factor, and nowhere to write a reason."""
    held = world.student.memberships.get()
    address = reverse("people:extra_time", kwargs={"membership": held.pk})
    client = signed_in("coordinator")
    assert set(client.get(address).context["form"].fields) == {"time_factor"}
    client.post(address, {"time_factor": "1.5", "reason": "private words"})
    held.refresh_from_db()
    assert held.time_factor == Decimal("1.5")
    assert "private" not in str(list(AuditEntry.objects.values_list("detail", flat=True)))


def test_closing_an_account_ends_its_sessions(world: World, signed_in: Any) -> None:
    """At the next request."""
    theirs = signed_in("student")
    assert theirs.get(reverse("attempts:open")).status_code == 200
    signed_in("administrator").post(reverse("people:set_active", kwargs={"person": world.student.opaque}))
    assert theirs.get(reverse("attempts:open")).status_code == 302


def test_roster_preview_then_commit(world: World, signed_in: Any) -> None:
    """Nothing is saved by looking; the confirmed preview is; a stale one is shown again."""
    client = signed_in("coordinator")
    preview = client.post("/people/import/", {"program": world.program.pk, "text": ROSTER})
    assert not User.objects.filter(email="nan@x.example").exists()
    data = {"program": world.program.pk, "text": ROSTER, "preview": preview.context["plan"].digest}
    stale = client.post("/people/import/", data | {"preview": "0" * 64})
    assert stale.context["stale"]
    assert client.post("/people/import/", data).headers["Location"] == reverse("people:links")
    assert User.objects.get(email="nan@x.example").memberships.get().cohort == world.cohort
    again = client.post("/people/import/", data)
    assert again.status_code == 200  # the digest binds to what would be added: nothing any more
    assert User.objects.filter(email="nan@x.example").count() == 1


def test_roster_file_with_errors_keeps_its_text(world: World, signed_in: Any) -> None:
    """So that it can be corrected on the page."""
    file = SimpleUploadedFile("class.csv", ROSTER.replace("26-A", "99-Z").encode("utf-8-sig"))
    response = signed_in("coordinator").post("/people/import/", {"program": world.program.pk, "file": file})
    assert "Nan Quill,nan@x.example,99-Z" in response.content.decode()
    assert response.context["plan"].errors == 1


@pytest.mark.parametrize("content", [b"full_name\nIn\xeas\n", b"PK\x03\x04", b"x" * 1_000_001, b""])
def test_files_that_are_no_roster(world: World, signed_in: Any, content: bytes) -> None:
    """The page says what to do, and nothing breaks."""
    file = SimpleUploadedFile("class.csv", content)
    response = signed_in("coordinator").post("/people/import/", {"program": world.program.pk, "file": file})
    assert response.status_code == 200
    assert response.context["form"].errors


def test_sheet_of_links(world: World, signed_in: Any) -> None:
    """One a person, shown once, for those whose accounts one manages; forged others get none."""
    people = [world.student.pk, world.fellow_student.pk, world.evaluator.pk]
    response = signed_in("coordinator").post("/people/links/", {"people": people})
    assert [link.person for link in response.context["links"]] == [world.student, world.fellow_student]
    assert SignInLink.objects.count() == 2
    assert "no-store" in response.headers["Cache-Control"]


def test_audit_page_filters(world: World, signed_in: Any) -> None:
    """By act, by person, by day in the program's zone; another program's entries are not there."""
    audit(by=world.outsider, act="person.added", subject=world.outsider, program=world.foreign_program)
    audit(by=world.coordinator, act="person.added", subject=world.student, program=world.program)
    audit(by=world.coordinator, act="person.closed", subject=world.evaluator, program=world.program)
    client = signed_in("administrator")

    def seen(query: str) -> list[str]:
        return [f"{line.entry.act} {line.about}" for line in client.get(f"/people/audit/?{query}").context["lines"]]

    assert seen("") == ["person.closed Jo Castellane", "person.added Marit Adeyemi"]
    assert seen("act=person.added") == ["person.added Marit Adeyemi"]
    assert seen("person=evaluator") == ["person.closed Jo Castellane"]
    assert seen("person=nobody") == []
    assert seen("until=2020-01-01") == []
    assert seen("since=nonsense") == seen("")
    assert act_words("membership.extra_time") == "membership extra time"


def test_cohort_form(world: World, signed_in: Any) -> None:
    """Added, changed, and refused when the name is taken."""
    client = signed_in("administrator")
    data = {"program": world.program.pk, "name": "27-A", "starts": "2027-01-04", "ends": ""}
    assert client.post("/people/cohorts/add/", data).status_code == 302
    made = Cohort.objects.get(name="27-A")
    address = reverse("people:edit_cohort", kwargs={"cohort": made.pk})
    assert client.post(address, data | {"name": "26-A"}).context["form"].errors.keys() == {"name"}
    assert client.post(address, data | {"ends": "2027-12-17"}).status_code == 302
    made.refresh_from_db()
    assert made.ends == date(2027, 12, 17)


def test_cohort_list_counts_todays_students(world: World, signed_in: Any) -> None:
    """Enrolments that ended do not count."""
    Membership.objects.filter(person=world.student).update(ends=date(2026, 1, 6))
    page = signed_in("coordinator").get("/people/cohorts/").context["page"]
    assert {cohort.name: cohort.students for cohort in page} == {"26-A": 1, "26-B": 1}


def test_wrong_tries_are_counted_by_address(rf: Any) -> None:
    """One address does not lock another out."""
    cache.clear()
    here, there = rf.get("/", REMOTE_ADDR="192.0.2.1"), rf.get("/", REMOTE_ADDR="192.0.2.2")
    for _ in range(rate.WRONG_TRIES):
        rate.count_wrong(here)
    assert rate.too_many(here)
    assert not rate.too_many(there)
    cache.clear()


def test_dates_are_written_as_browsers_read_them() -> None:
    """HTML: a date field's value is year-month-day, a time field's hours and minutes."""
    assert 'value="2026-03-02"' in DateInput().render("on", date(2026, 3, 2))
    assert 'value="09:05"' in TimeInput().render("at", time(9, 5))

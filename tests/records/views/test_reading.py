"""The pages: what they show to whom, how often they ask the database, and how the PDF is served."""

from __future__ import annotations

import io
from typing import Any

import pikepdf
import pytest
from django.urls import reverse

from checkoffs.records import tries
from checkoffs.records.actions import amend, void
from checkoffs.records.models import RecordLeaf, RecordPdf
from tests.records import infusion, make
from tests.world import World


def _record(leaf: RecordLeaf) -> str:
    return reverse("records:record", kwargs={"code": leaf.code})


@pytest.mark.parametrize("count", [1, 3])
def test_list_asks_the_database_a_fixed_number_of_times(
    world: World, signed_in: Any, django_assert_max_num_queries: Any, count: int
) -> None:
    """One row or three: session, person, memberships, two filters, count, rows."""
    for number in range(count):
        make.sealed_infusion(world, number=number + 1)
    client = signed_in("coordinator")
    with django_assert_max_num_queries(9):
        response = client.get(reverse("records:list"))
    assert len(response.context["page"].object_list) == count


def test_list_shows_what_stands_and_filters(world: World, signed_in: Any) -> None:
    """An amended attempt has one row, of the amendment; name, code, outcome and cohort narrow the list."""
    leaf = make.sealed_infusion(world)
    passed = make.sealed_infusion(
        world, infusion.events(marks={24: (955, "performed")}, rate="13.1"), number=2, student=world.fellow_student
    )
    last = amend(by=world.instructor, leaf=leaf, reason="Typing.", changes={"text": "Station 5."})
    client = signed_in("instructor")

    def codes(**query: Any) -> set[str]:
        response = client.get(reverse("records:list"), query)
        return {row.code for row in response.context["page"].object_list}

    assert codes() == {last.code, passed.code}
    assert codes(q="aldous") == {passed.code}
    assert codes(q=last.code.lower()) == {last.code}
    assert codes(outcome="satisfactory") == {passed.code}
    assert codes(cohort=world.cohort.pk) == {last.code, passed.code}
    assert "No record fits" in client.get(reverse("records:list"), {"q": "nobody"}).content.decode()


def test_student_sees_own_records_only(world: World, signed_in: Any) -> None:
    """The list holds one's own; another's record is not found; the own one offers no change."""
    leaf = make.sealed_infusion(world)
    assert leaf.code in signed_in("student").get(reverse("records:list")).content.decode()
    assert leaf.code not in signed_in("fellow_student").get(reverse("records:list")).content.decode()
    page = signed_in("student").get(_record(leaf)).content.decode()
    assert "Unsatisfactory" in page
    assert reverse("records:amend", kwargs={"code": leaf.code}) not in page


def test_record_page_says_what_the_paper_says(world: World, signed_in: Any) -> None:
    """Outcome, reasons, stated value, rule, digest; while the PDF is being set it says so and asks by itself."""
    leaf = make.sealed_infusion(world)
    page = signed_in("instructor").get(_record(leaf)).content.decode()
    for part in (
        "Scrubs the hub for the full time and lets it dry",
        "Rate stated 28.9 mL/h, expected 13.1 mL/h",
        "Likely slip: pounds taken as kilograms",
        "Dopamine 800 mg in 500 mL",
        "The PDF is being set",
        "js/records/wait.js",
        "<svg",
    ):
        assert part in page
    assert "style=" not in page
    assert "Not for the record" not in page


def test_superseded_record_leads_to_what_stands(world: World, signed_in: Any) -> None:
    """The old page says so at its top and offers no change; the chain is on both."""
    leaf = make.sealed_infusion(world)
    last = amend(by=world.instructor, leaf=leaf, reason="Typing.", changes={"outcome": "satisfactory"})
    client = signed_in("instructor")
    old, new = (client.get(_record(one)).content.decode() for one in (leaf, last))
    assert "This is not the last word" in old
    assert reverse("records:amend", kwargs={"code": leaf.code}) not in old
    assert "Reason:</b> Typing." in new
    assert leaf.code in new


def test_pdf_is_served_as_stored(world: World, signed_in: Any, django_capture_on_commit_callbacks: Any) -> None:
    """202 before it is set, then the stored bytes for ever; asked again with its tag, 304 and no bytes."""
    with django_capture_on_commit_callbacks() as waiting:
        leaf = make.sealed_infusion(world)
    address = reverse("records:pdf", kwargs={"code": leaf.code})
    client = signed_in("student")
    assert client.get(address).status_code == 202
    for callback in waiting:
        callback()
    first = client.get(address)
    assert first.headers["Content-Type"] == "application/pdf"
    assert first.headers["Content-Disposition"] == f'inline; filename="{leaf.code}.pdf"'
    assert first.content == bytes(RecordPdf.objects.get(leaf=leaf).data)
    with pikepdf.open(io.BytesIO(first.content)) as found:
        assert leaf.code in str(found.docinfo["/Title"])
    again = client.get(address, headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert client.get(address, {"download": ""}).headers["Content-Disposition"].startswith("attachment")


def test_amending_by_the_page(world: World, signed_in: Any) -> None:
    """The form keeps what was typed, names the missing field, and leads to the amendment."""
    leaf = make.sealed_infusion(world)
    client, address = signed_in("instructor"), reverse("records:amend", kwargs={"code": leaf.code})
    answer = client.post(address, {"outcome": "", "text": "", "reason": "A reason typed."})
    assert answer.status_code == 200
    assert "Say what is corrected" in answer.content.decode()
    assert "A reason typed." in answer.content.decode()
    answer = client.post(address, {"outcome": "satisfactory", "text": "", "reason": "A reason typed."})
    made = RecordLeaf.objects.get(kind="amendment")
    assert answer.headers["Location"] == _record(made)


def test_voiding_by_the_page(world: World, signed_in: Any) -> None:
    """A reason is needed; afterwards the record offers nothing more to change."""
    leaf = make.sealed_infusion(world)
    client, address = signed_in("coordinator"), reverse("records:void", kwargs={"code": leaf.code})
    assert "This field is required" in client.post(address, {}).content.decode()
    client.post(address, {"reason": "Fire alarm."})
    made = RecordLeaf.objects.get(kind="void")
    page = client.get(_record(made)).content.decode()
    assert "This record does not count" in page
    assert client.get(reverse("records:void", kwargs={"code": made.code})).status_code == 404


class TestVerify:
    """The page for strangers."""

    @pytest.fixture(autouse=True)
    def _fresh(self) -> None:
        tries.CODES_ASKED.forget("127.0.0.1")

    def test_answers_without_student_data(self, world: World, signed_in: Any) -> None:
        """Genuine and current, superseded, void, not ours; never a name, a number, an outcome."""
        leaf = make.sealed_infusion(world)
        client = signed_in("anonymous")

        def ask(code: str) -> str:
            page = client.get(reverse("records:verify"), {"code": code}).content.decode()
            for private in ("Adeyemi", world.student.number, "nsatisfactory", "infusion by pump"):
                assert private not in page
            return page

        assert "Genuine and current" in ask(leaf.code.lower().replace("-", " "))
        last = amend(by=world.instructor, leaf=leaf, reason="Typing.", changes={"text": "Station 5."})
        assert "no longer current" in ask(leaf.code)
        assert last.code in ask(leaf.code)
        gone = void(by=world.coordinator, leaf=last, reason="Alarm.")
        assert "declares an attempt void" in ask(gone.code)
        assert "Not ours" in ask("SW-2222-2222")
        assert "Not ours" in ask("<script>alert(1)</script>")

    def test_is_not_for_guessing(self, world: World, signed_in: Any) -> None:
        """After thirty codes in a minute the page asks to wait."""
        client = signed_in("anonymous")
        statuses = [client.get(reverse("records:verify"), {"code": "SW-2222-2222"}).status_code for _ in range(31)]
        assert statuses == [200] * 30 + [429]

    def test_leads_readers_to_the_record(self, world: World, signed_in: Any) -> None:
        """Who may read it gets the link."""
        leaf = make.sealed_infusion(world)
        assert (
            _record(leaf)
            in signed_in("instructor").get(reverse("records:verify"), {"code": leaf.code}).content.decode()
        )
        assert (
            _record(leaf)
            not in signed_in("outsider").get(reverse("records:verify"), {"code": leaf.code}).content.decode()
        )

"""What a roster would do to the people there are. Rights: coordinators enrol students only (architecture)."""

from __future__ import annotations

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from checkoffs.people.actions import commit_roster
from checkoffs.people.models import Membership, User
from checkoffs.people.permissions import Access
from checkoffs.people.roster import read
from checkoffs.people.roster_plan import RosterPlan, make_plan
from tests.world import World

HEAD = "full_name,email,number,role,cohort,starts,ends\n"


def plan(world: World, rows: str, by: str = "administrator") -> RosterPlan:
    """A plan of the rows under the usual columns."""
    return make_plan(Access.of(world.people[by]), world.program, read(HEAD + rows))


def effects(found: RosterPlan) -> list[str]:
    """One word a row."""
    return [row.effect for row in found.rows]


def test_new_known_and_changed_people(world: World) -> None:
    """Someone new; someone as they are; a changed name; a further role."""
    found = plan(
        world,
        "Nan Quill,nan@x.example,N-1,,26-A,,\n"
        "Marit Adeyemi,student@harrowmere.example,,student,26-A,,\n"
        "Piers Aldous-Berg,fellow_student@harrowmere.example,,student,26-A,,\n"
        "Jo Castellane,evaluator@harrowmere.example,,evaluator,26-B,2026-02-01,2026-06-30\n",
    )
    assert effects(found) == ["add", "same", "change", "role"]
    assert found.rows[0].starts == world.cohort.starts
    assert found.rows[2].changed == {"full_name": "Piers Aldous-Berg"}


def test_commit_does_what_the_preview_said(world: World) -> None:
    """After the commit the same list changes nothing."""
    rows = "Nan Quill,nan@x.example,N-1,,26-A,2026-02-01,2026-12-31\nNan Quill,nan@x.example,N-1,evaluator,26-B,,\n"
    added = commit_roster(by=world.administrator, plan=plan(world, rows))
    assert [person.full_name for person in added] == ["Nan Quill"]
    assert not added[0].has_usable_password()
    held = Membership.objects.get(person=added[0], role="student")
    assert (held.starts, held.ends) == (date(2026, 2, 1), date(2026, 12, 31))
    assert effects(plan(world, rows)) == ["same", "same"]


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (",a@x.example,,,26-A,,\n", "full_name"),
        ("A B,not an address,,,26-A,,\n", "email"),
        ("A B,a@x.example,,dean,26-A,,\n", "role"),
        ("A B,a@x.example,,student,,,\n", "cohort"),
        ("A B,a@x.example,,student,99-Z,,\n", "99-Z"),
        ("A B,a@x.example,,student,P-1,,\n", "P-1"),  # another program's cohort is not there
        ("A B,a@x.example,,,26-A,1/9/2026,\n", "2026-09-01"),
        ("A B,a@x.example,,,26-A,2026-09-01,2026-08-01\n", "ends"),
        ("=A B,a@x.example,,,26-A,,\n", "formula"),
    ],
)
def test_errors_name_what_is_wrong(world: World, row: str, words: str) -> None:
    """Each with the word by which it is found."""
    found = plan(world, row)
    assert effects(found) == ["error"]
    assert words in " ".join(found.rows[0].errors)


def test_one_bad_row_saves_nothing(world: World) -> None:
    """All or nothing."""
    before = User.objects.count()
    with pytest.raises(Exception, match="nothing was saved"):
        commit_roster(
            by=world.administrator, plan=plan(world, "A B,a@x.example,,,26-A,,\nC D,c@x.example,,,none,,\n")
        )
    assert User.objects.count() == before


def test_rows_of_one_file_must_agree(world: World) -> None:
    """The same line twice; one address with two names; one number for two people."""
    found = plan(
        world,
        "A B,a@x.example,1,,26-A,,\nA B,a@x.example,1,,26-A,,\nC D,a@x.example,,,26-B,,\nE F,e@x.example,1,,26-A,,\n",
    )
    assert effects(found) == ["add", "error", "error", "error"]


def test_a_coordinator_enrols_students_only(world: World) -> None:
    """Any other role is an administrator's."""
    found = plan(world, "A B,a@x.example,,student,26-A,,\nC D,c@x.example,,evaluator,26-A,,\n", by="coordinator")
    assert effects(found) == ["add", "error"]


def test_a_foreigner_gets_the_role_and_keeps_the_details(world: World) -> None:
    """Somebody of another program: their name is neither shown nor changed."""
    found = plan(world, "Somebody Else,outsider@harrowmere.example,,evaluator,26-A,,\n")
    assert effects(found) == ["role"]
    commit_roster(by=world.administrator, plan=found)
    world.outsider.refresh_from_db()
    assert world.outsider.full_name == "Vera Stranger"


def test_staff_who_join_as_students_keep_their_details_from_a_coordinator(world: World) -> None:
    """A coordinator cannot change an evaluator's account by way of a roster."""
    rows = "Taken Over,evaluator@harrowmere.example,,student,26-A,,\n"
    found = plan(world, rows, by="coordinator")
    assert found.rows[0].changed == {}


def test_the_digest_changes_with_what_would_happen(world: World) -> None:
    """So a preview that has gone stale is not carried out."""
    rows = "Nan Quill,nan@x.example,,,26-A,,\n"
    before = plan(world, rows)
    assert before.digest == plan(world, rows).digest
    User.objects.create_user("nan", email="nan@x.example", full_name="Nan Quill")
    assert before.digest != plan(world, rows).digest


def test_queries_do_not_grow_with_rows(world: World) -> None:
    """One row and thirty: the same number."""
    counts = []
    for n in (1, 30):
        rows = "".join(f"A B{i},a{i}@x.example,N{i},,26-A,,\n" for i in range(n))
        with CaptureQueriesContext(
            connection,
        ) as caught:
            plan(world, rows)
        counts.append(len(caught))
    assert counts[0] == counts[1]

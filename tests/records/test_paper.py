"""What a record says: outcome and reasons first, each with its step, time and why; every code has its words."""

from __future__ import annotations

from checkoffs.records.kept_words import KEPT
from checkoffs.records.paper import paper, ribbons
from checkoffs.records.reason_words import TITLES
from checkoffs.records.snapshot import amend
from checkoffs.scoring.reasons import SENTENCES
from tests.records import documents, infusion


def test_reasons_that_decide_come_with_number_why_and_time() -> None:
    """Step 24 was marked at 17:08 on the wall of the attempt, 55 s of which did not count: 16:13."""
    shown = paper(documents.record(), "00" * 32)
    hub, rate = shown["reasons"]
    assert (hub["title"], hub["number"], hub["critical"]) == (
        "Scrubs the hub for the full time and lets it dry",
        24,
        True,
    )
    assert "carries organisms straight into the blood" in hub["detail"]
    assert hub["evidence"] == "critical, not performed, 16:13"
    assert rate["title"] == "Rate stated 28.9 mL/h, expected 13.1 mL/h"
    assert "Likely slip: pounds taken as kilograms." in rate["detail"]
    assert rate["number"] == 14


def test_times_stand_in_the_zone_of_the_program() -> None:
    """09:36:05 UTC is 10:36 in British Summer Time, which lasts to the last Sunday of October (*common practice*)."""
    shown = paper(documents.record(), "00" * 32)
    assert shown["sealed"] == "Wed 14 Oct 2026, 10:36 BST"
    assert shown["signatures"][0]["when"] == "Wed 14 Oct 2026, 10:36 BST"


def test_every_code_that_scoring_gives_has_words() -> None:
    """Whatever the scoring room can say of a decision, a record can say too."""
    assert set(SENTENCES) == set(TITLES) | set(KEPT)


def test_stated_wrong_shows_in_the_list() -> None:
    """The step was marked performed, but what was stated there was wrong: the list says so, and fails it."""
    steps = {
        step["number"]: step for section in paper(documents.record(), "")["sections"] for step in section["steps"]
    }
    assert (steps[14]["word"], steps[14]["failed"]) == ("stated wrong", True)
    assert (steps[26]["time"], steps[26]["extra"]) == ("untimed", "in time")
    assert (steps[24]["word"], steps[24]["time"]) == ("not performed", "16:13")


def test_beside_the_list_is_in_order_of_counted_time() -> None:
    """Prompt 4:12, pause 5:10, breaches at 11:19 and 16:57 less the 55 s not counted, the note, what has no time."""
    rows = paper(documents.record(), "")["beside"]
    assert [row["time"] for row in rows] == ["4:12", "5:10", "10:24", "16:02", "23:10", ""]
    assert rows[-1]["text"].startswith("Overall judgement 2 of 5")
    assert rows[1]["text"] == "Paused 0:55, fire alarm; not counted"


def test_changes_after_the_outcome_are_shown_with_their_reason() -> None:
    """An evaluator who changed a mark after seeing the outcome is on the record."""
    changed = infusion.events()
    mark = next(event for event in changed if event["payload"].get("step") == "s33")
    mark["payload"] |= {"after_outcome": True, "reason": "I had touched the wrong line."}
    rows = paper(documents.record(sheets=[("primary", infusion.SHEET, "Jo Castellane", changed)]), "")["beside"]
    assert "step 33 marked performed. Reason: I had touched the wrong line." in rows[-1]["text"]


def test_two_sheets_stand_side_by_side_with_what_was_settled() -> None:
    """Where they differ, what each marked, what the instructor decided and why."""
    shown = paper(documents.moderated(), "")
    (row,) = [row for row in shown["differences"] if row["number"] == 24]
    assert [mark["word"] for mark in row["marks"]] == ["performed", "not performed"]
    assert (row["settled"], row["reason"]) == ("not performed", "The second saw it.")
    assert [signature["role"].split(",")[0] for signature in shown["signatures"]] == [
        "evaluator",
        "second evaluator",
        "instructor who scored no sheet",
    ]
    assert len(shown["checks"]) == 2
    assert shown["checks"][0]["by"] == "Jo Castellane, RN and Mina Farrow, RN"


def test_no_show_has_no_list_and_no_signature() -> None:
    """One reason, and who entered it why."""
    shown = paper(documents.record(sheets=[]), "")
    assert shown["sections"] == []
    assert shown["signatures"] == []
    assert [reason["title"] for reason in shown["reasons"]] == ["The student did not come"]
    assert shown["no_show_reason"] == "Did not come to the slot."
    assert ribbons(documents.record(sheets=[]), width=600, for_paper=True) == []


def test_amendment_says_what_it_amends_and_why() -> None:
    """What stands and what the rule had given are both said."""
    before = documents.record()
    made = amend(
        before, "cd" * 32, documents.seal("SW-2222-2222", 5), author=documents.person("Ruth Okonjo"),
        reason="Typing.", correction={"outcome": "satisfactory", "text": "Rate read off another pump."},
    )  # fmt: skip
    shown = paper(made, "")
    assert (shown["outcome"]["code"], shown["decided"]["code"]) == ("satisfactory", "unsatisfactory")
    change = shown["change"]
    assert (change["code"], change["reason"], change["author"]) == ("SW-7KQ4-M2XE", "Typing.", "Ruth Okonjo, RN")
    assert shown["signatures"][-1]["role"] == "author of this amendment"

"""The pure review of a snapshot: what decided, what each miss says, what stays unseen.

The attempt is the invented one of ``tests.records.infusion``; its marks, times and stated values are asserted as
given there. That a student is shown what was missed, why and the right way is *common practice*.
"""

from __future__ import annotations

import json
from typing import Any

import pytest

from checkoffs.records.snapshot import amend, build
from checkoffs.review import plan
from checkoffs.review.missed import review_of, teaching_of
from tests.records import documents, infusion
from tests.review.make import RIGHT, WHY, teaching_content


def review(sheets: Any = None, **over: Any) -> dict[str, Any]:
    """The review of an invented snapshot."""
    snapshot = build(documents.source(sheets, **over), documents.seal())
    return review_of(snapshot, teaching_of(teaching_content()))


def passed() -> dict[str, Any]:
    """The review of the same attempt with hub scrubbed and rate right."""
    log = infusion.events(marks={24: (1028, "performed")}, rate="13.1")
    return review([("primary", infusion.SHEET, "Jo Castellane", log)])


def test_deciding_misses_come_first_and_say_what_why_and_right() -> None:
    missed = review()["missed"]
    assert [(m["key"], m["decides"]) for m in missed][:2] == [("stated:rate", True), ("step:s24", True)]
    hub = missed[1]
    assert hub["seen"] == ["Not performed, marked 16:13."]
    assert (hub["why"], hub["right"], hub["number"], hub["critical"]) == (WHY, RIGHT, 24, True)


def test_every_step_without_its_mark_is_there() -> None:
    """Steps 7 said, 9 not performed, 10 after a prompt: missed without deciding."""
    quiet = {m["number"]: m["seen"][0] for m in review()["missed"] if not m["decides"]}
    assert quiet == {
        7: "Said, not done, marked 3:24.",
        9: "Not performed, marked 4:22.",
        10: "After a prompt, marked 4:30.",
    }


def test_what_is_a_miss_is_not_said_twice() -> None:
    """Of what did not decide, only the two breaches that were put right have no entry of their own."""
    assert [reason["number"] for reason in review()["also"]] == [18, 27]


def test_without_a_teaching_note_the_critical_reason_stands() -> None:
    missed = {m["key"]: m for m in review()["missed"]}
    assert missed["stated:rate"]["why"] == infusion.REASONS[14]


def test_sentence_counts_what_decided_and_the_rest() -> None:
    assert review()["sentence"] == (
        "Two critical steps decided it. 29 of 34 steps done as asked, order kept, 23:10 of 25:00."
    )
    assert passed()["sentence"].startswith("The rule was met. 31 of 34 steps done as asked")


def test_cues_never_come_along() -> None:
    """Neither the procedure's cue nor the fixture's cue text occurs anywhere in what a student reads."""
    told = json.dumps(review(), ensure_ascii=False)
    assert "Watch the second hand" not in told
    assert "Not for the record" not in told


def test_notes_of_the_step_are_quoted_and_a_late_mark_has_no_time() -> None:
    log = infusion.events(marks={18: (None, "not_performed")})
    missed = {m["key"]: m for m in review([("primary", infusion.SHEET, "Jo Castellane", log)])["missed"]}
    seen = missed["step:s18"]["seen"]
    assert seen[0] == "Not performed; marked without a time of its own."
    assert any("Spike touched the tray" in text for text in seen)


def test_an_amended_outcome_stands_while_the_decision_stays() -> None:
    first = build(documents.source(), documents.seal())
    second = amend(
        first, "ab" * 32, documents.seal("SW-AAAA-BBBB", 1875), author=documents.person("Ruth Okonjo"),
        reason="Heard wrong.", correction={"outcome": "satisfactory", "text": ""},
    )  # fmt: skip
    found = review_of(second, {})
    assert (found["outcome"], found["decided"]) == ("satisfactory", "unsatisfactory")
    assert not any(task.required for task in plan.tasks(found))


def test_a_no_show_has_no_steps_and_says_so() -> None:
    found = review([])
    assert (found["missed"], found["values"], found["done"], found["asked"]) == ([], [], 0, 0)
    assert "nobody came" in found["sentence"]


@pytest.mark.parametrize(("key", "required"), [("stated:rate", True), ("step:s24", True), ("step:s7", False)])
def test_what_decided_becomes_a_required_task(key: str, required: bool) -> None:
    tasks = {task.key: task for task in plan.tasks(review())}
    assert tasks[key].required is required


def test_after_a_pass_and_after_practice_nothing_is_required() -> None:
    source = documents.source()
    source["attempt"]["purpose"] = "practice"
    practice = review_of(build(source, documents.seal()), {})
    assert [t.required for t in plan.tasks(practice) if t.key == "step:s24"] == [False]
    assert not any(task.required for task in plan.tasks(passed()))

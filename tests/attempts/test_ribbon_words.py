"""The ribbon in sentences."""

from __future__ import annotations

from checkoffs.attempts.ribbon_data import read_strip
from checkoffs.attempts.ribbon_words import listing, sentences
from tests.attempts.ribbon_sheets import LIMIT_MS, RUNNING, START, mark, rule, sheet


def test_a_list_reads_as_people_say_it() -> None:
    assert [listing(x) for x in (["1"], ["1", "2"], ["1", "2", "3"])] == ["1", "1 and 2", "1, 2 and 3"]


def test_a_running_sheet_tells_no_verdict() -> None:
    said = sentences(read_strip(sheet(RUNNING), rule(), LIMIT_MS), {})
    assert said[0] == "Running, 2:30 of 10:00."
    assert "Said, still covered: 5, critical (2:30)." in said
    assert not any("wrong" in sentence.lower() for sentence in said)


def test_an_attempt_without_a_limit_says_so() -> None:
    acts = [START, mark(30, "a1"), (40, "finished", {})]
    assert sentences(read_strip(sheet(acts, None), rule(None), None), {})[0] == "Ended, 0:40, no time limit."


def test_a_pause_still_open_has_its_length_so_far() -> None:
    acts = [START, (30, "paused", {"reason": "fire alarm"}), (75, "noted", {"text": "outside"})]
    said = sentences(read_strip(sheet(acts), rule(), LIMIT_MS), {})
    assert "Paused 0:45 at 0:30, fire alarm; not counted." in said

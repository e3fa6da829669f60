"""Marks from snapshots: what was missed, with two sheets too; checked against the invented attempt by hand."""

from __future__ import annotations

from checkoffs.records.snapshot import build
from checkoffs.reports.marks import marks_of
from tests.records import documents, infusion


def test_a_line_for_each_step_with_mark_time_and_verdict() -> None:
    lines = {line.step: line for line in marks_of(build(documents.source(), documents.seal()))}
    assert len(lines) == 34
    missed = {line.number for line in lines.values() if line.missed}
    assert missed == {7, 9, 10, 14, 24}  # said, not performed, after a prompt, rate stated wrong, not performed
    # 17:08 on the clock, less the pause of 55 s that has a reason
    assert (lines["s24"].at_ms, lines["s24"].critical, lines["s24"].mark) == (973_000, True, "not_performed")
    assert lines["s26"].caught_up


def test_what_was_not_observed_or_did_not_apply_is_neither_missed_nor_done() -> None:
    log = infusion.events(marks={3: (100, "not_applicable"), 22: (840, "not_observed")})
    lines = {
        line.number: line
        for line in marks_of(
            build(documents.source([("primary", infusion.SHEET, "Jo Castellane", log)]), documents.seal())
        )
    }
    assert (lines[3].missed, lines[22].missed, lines[1].missed) == (None, None, False)


def test_two_sheets_keep_their_own_misses_and_moderation_has_none() -> None:
    lines = marks_of(documents.moderated())
    assert {line.sheet for line in lines} == {infusion.SHEET, infusion.SECOND}
    hub = {line.sheet: line.missed for line in lines if line.step == "s24"}
    assert hub[infusion.SECOND] is True
    assert len(lines) == 68


def test_a_no_show_has_no_marks() -> None:
    assert marks_of(build(documents.source([]), documents.seal())) == []

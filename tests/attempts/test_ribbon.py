"""The ribbon's places, shapes and words; its drawings are shared with the browser's twin."""

from __future__ import annotations

import json
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from checkoffs.attempts.ribbon import Lane, Second, describe, draw
from checkoffs.attempts.ribbon_data import letter, read_strip
from checkoffs.attempts.ribbon_paint import PAPER, n
from tests.attempts.ribbon_sheets import FULL, LIMIT_MS, RUNNING, START, mark, rule, sheet

ROOT = Path(__file__).resolve().parents[2]
DRAWINGS = json.loads((ROOT / "fixtures/vectors/ribbon/drawings.json").read_text())
PYTHON_NAMES = {"limitMs": "limit_ms", "nowMs": "now_ms"}
# 616 px are 2 left and 14 right of 600 px for 600 s: one px is one second, and a second s lies at s + 2
WIDE = 616


def parsed(drawing: str) -> ElementTree.Element:
    """The drawing as a tree, which also shows that it is well formed."""
    return ElementTree.fromstring(drawing)  # noqa: S314  our own drawing, not a stranger's


def shapes(drawing: str, cls: str) -> list[ElementTree.Element]:
    """Elements that carry all the class words."""
    wanted = set(cls.split())
    root = parsed(drawing)
    return [e for e in root.iter() if wanted <= set(e.get("class", "").split()) and not e.tag.endswith("svg")]


def xs(drawing: str, cls: str) -> list[float]:
    """Where those paths begin."""
    return [float(re.match(r"M(-?[\d.]+)", e.get("d", ""))[1]) for e in shapes(drawing, cls)]  # type: ignore[index]


@pytest.mark.parametrize("drawing", DRAWINGS, ids=lambda drawing: drawing["name"])
def test_draws_what_the_shared_drawings_show(drawing: dict) -> None:
    options = {PYTHON_NAMES.get(key, key): value for key, value in drawing["options"].items()}
    assert draw(drawing["state"], drawing["rule"], **options) == drawing["svg"]


def test_the_scale_is_linear_in_counted_time() -> None:
    drawing = draw(sheet(FULL), rule(), width=WIDE)
    assert xs(drawing, "rb-lim1") == [601.5]
    assert [float(e.get("x", "")) for e in shapes(drawing, "rb-seg")] == [2, 92, 152]
    # the section c ends with the finish, 460 s less a pause of 60 s
    assert xs(drawing, "rb-end") == [402]
    # c1 marked at 360 s, breach at 300 s, both after the pause
    assert xs(drawing, "rb-t self") == [302, 302]
    assert xs(drawing, "rb-brl") == [242]
    assert xs(drawing, "rb-prl") == [252]


def test_up_is_seen_done_and_down_is_not() -> None:
    drawing = draw(sheet(FULL), rule(), width=WIDE)
    band = float(shapes(drawing, "rb-seg")[0].get("y", ""))
    # 150 s wrong rate, 400 s less the pause not performed
    assert xs(drawing, "rb-t no") == [152, 342]
    assert xs(drawing, "rb-t said") == [132]
    for cls, below in (("rb-sq", True), ("rb-sqo", True)):
        assert all((float(e.get("y", "")) > band) is below for e in shapes(drawing, cls))
    for stroke in shapes(drawing, "rb-t self") + shapes(drawing, "rb-t prompted"):
        assert all(float(y) < band for y in re.findall(r"[ V](\d+(?:\.\d+)?)", stroke.get("d", "")))


def test_a_keystone_stands_on_each_critical_step_seen_done_and_on_no_other() -> None:
    drawing = draw(sheet(FULL), rule(), width=WIDE)
    assert len(shapes(drawing, "rb-k")) == 1
    assert len(shapes(drawing, "rb-sq crit")) == 2


def test_a_covered_value_is_as_long_above_as_below_and_shows_no_verdict() -> None:
    said = [*RUNNING, (160, "verified", FULL[7][2])]
    drawing = draw(sheet(said), rule(), width=WIDE)
    (stroke,) = (e for e in shapes(drawing, "rb-t cov") if "flag" not in e.get("class", ""))
    top, upper, lower, bottom = (float(y) for y in re.findall(r"[ V](\d+(?:\.\d+)?)", stroke.get("d", "")))
    assert upper - top == bottom - lower
    assert not shapes(drawing, "rb-t no")
    assert not shapes(drawing, "rb-sq")
    assert len(shapes(drawing, "rb-k")) == 1


def test_opening_the_flap_turns_it_down_at_its_own_second() -> None:
    said = [*RUNNING, (160, "verified", FULL[7][2]), (170, "revealed", {"check": "rate"})]
    assert xs(draw(sheet(said), rule(), width=WIDE), "rb-t no") == [152]


def test_a_value_nobody_verified_stays_neutral_even_at_the_finish() -> None:
    drawing = draw(sheet([*RUNNING, (200, "finished", {})]), rule(), width=WIDE)
    assert shapes(drawing, "rb-t cov")
    assert not shapes(drawing, "rb-t no")


@pytest.mark.parametrize(
    ("code", "changes", "down"),
    [
        ("right", {}, False),
        ("right_other_rounding", {}, False),
        ("right_other_rounding", {"grades_rounding": True}, True),
        ("missing_unit", {}, True),
        ("missing_unit", {"no_unit": "accepted"}, False),
        ("wrong_unit", {}, True),
        ("unreadable", {}, True),
    ],
)
def test_what_a_verdict_means_is_the_rules_to_say(code: str, changes: dict, down: bool) -> None:
    verdict = {"check": "rate", "statement": "e6", "verdict": {"code": code}, "calculators": "1.0"}
    state = sheet([*RUNNING, (160, "verified", verdict), (170, "finished", {})])
    document = rule()
    document["stated"][0] |= changes
    assert bool(shapes(draw(state, document), "rb-t no")) is down


def test_no_stroke_for_what_was_caught_up_or_does_not_apply() -> None:
    acts = [
        START,
        mark(20, "a1"),
        mark(30, "a2", caught_up=True),
        mark(40, "a3", "not_applicable"),
        (50, "finished", {}),
    ]
    drawing = draw(sheet(acts), rule(), width=WIDE)
    assert xs(drawing, "rb-t") == [22]
    assert "Without a time of its own: 2." in describe(sheet(acts), rule())


def test_past_the_limit_the_scale_makes_room_and_the_bar_cuts_the_band() -> None:
    acts = [START, mark(20, "a1"), mark(700, "a2"), (746, "finished", {})]
    drawing = draw(sheet(acts), rule(), width=766)
    assert xs(drawing, "rb-lim1") == [601.5]
    assert len(shapes(drawing, "rb-cut")) == 1
    assert xs(drawing, "rb-end") == [748]
    assert "Past the limit by 2:26." in describe(sheet(acts), rule())


def test_an_accommodation_moves_the_limit() -> None:
    drawing = draw(sheet(FULL), rule(), width=916, limit_ms=900_000)
    assert xs(drawing, "rb-lim1") == [901.5]
    assert "limit 15:00" in drawing


def test_breaches_that_would_touch_gather_under_one_triangle() -> None:
    acts = [START, *[(s, "breach", {"kind": "asepsis"}) for s in (100, 104, 109, 300)], (400, "finished", {})]
    drawing = draw(sheet(acts), rule(), width=WIDE)
    assert len(shapes(drawing, "rb-br")) == 2
    assert [e.text for e in shapes(drawing, "rb-brn")] == ["3 breaches"]
    rail = shapes(drawing, "rb-brl")[0].get("d", "")
    assert re.findall(r"M(\d+) \d", rail.split("H", 1)[1]) == ["102", "106", "111"]


def test_a_pause_without_a_reason_counts_and_draws_no_seam() -> None:
    acts = [START, (100, "paused", {}), (200, "resumed", {}), (300, "finished", {})]
    drawing = draw(sheet(acts), rule(), width=WIDE)
    assert not shapes(drawing, "rb-pz")
    assert xs(drawing, "rb-end") == [302]


def test_a_section_finished_out_of_order_lies_where_its_time_went() -> None:
    acts = [
        START,
        mark(50, "b1"),
        mark(90, "b2"),
        *(mark(100 + s, f"a{s}") for s in (1, 2, 3)),
        (200, "finished", {}),
    ]
    strip = read_strip(sheet(acts), rule(), LIMIT_MS)
    assert [(s.letter, s.start_ms, s.end_ms) for s in strip.segments] == [("B", 0, 90_000), ("A", 90_000, 200_000)]


def test_the_current_section_is_where_open_steps_are() -> None:
    current = lambda acts: next(s.letter for s in read_strip(sheet(acts), rule(), LIMIT_MS).segments if s.current)  # noqa: E731
    assert current([START, mark(20, "a1")]) == "A"
    assert current([START, *(mark(20 + s, f"a{s}") for s in (1, 2, 3)), (60, "noted", {"text": "calm"})]) == "B"


def test_keyed_from_paper_has_list_order_and_no_scale() -> None:
    acts = [(None, kind, payload) for _, kind, payload in (mark(None, "a1"), mark(None, "c2", "not_performed"))]
    drawing = draw(sheet(acts, source="paper"), rule(), width=164)
    assert not shapes(drawing, "rb-lim1")
    assert not shapes(drawing, "rb-end")
    # eight steps on 160 px: the first lies at 2 + 10, the seventh at 2 + 130
    assert xs(drawing, "rb-t") == [12, 132]
    assert len(shapes(drawing, "rb-seg broken")) == 3
    assert describe(sheet(acts, source="paper"), rule())[0] == "Keyed from paper, no times."


def test_a_second_sheet_is_moved_by_its_offset_and_joined_where_it_differs() -> None:
    other = sheet([START, mark(20, "a1"), mark(60, "a2", "not_performed"), (420, "finished", {})])
    drawing = draw(sheet(FULL), rule(), width=WIDE, second=Second(other, 42_000, ["a2"]))
    assert xs(drawing, "rb-end") == [402, 464]
    assert xs(drawing, "rb-join") == [62]
    assert 104 in xs(drawing, "rb-t no")


@pytest.mark.parametrize(("attempts", "boxes"), [(9, 0), (10, 2)])
def test_the_group_shows_only_from_ten_attempts(attempts: int, boxes: int) -> None:
    lane = Lane({"a": (80_000, 120_000), "c": (300_000, 380_000)}, attempts)
    assert len(shapes(draw(sheet(FULL), rule(), lane=lane), "rb-g")) == boxes


def test_paper_writes_every_colour_out() -> None:
    for options in ({}, {"rehearsal": True}, {"second": Second(sheet(FULL), 9_000, ["c2"])}, {"size": "compact"}):
        drawing = draw(sheet(FULL), rule(), for_paper=True, **options)
        assert not re.search(r"class=|var\(|currentColor|style=", drawing)
        for element in parsed(drawing).iter():
            if element.tag.rpartition("}")[2] in {"path", "rect", "circle", "text"}:
                assert element.get("fill"), element.attrib


def test_screen_and_paper_know_the_same_strokes() -> None:
    css = (ROOT / "static/css/ribbon.css").read_text()
    in_css = set(re.findall(r"\.(rb-[a-z0-9]+)", css)) - {"rb-legend", "rb-wide", "rb-middle", "rb-narrow"}
    assert in_css == {row.split()[0] for row, _ in PAPER}


def test_nothing_typed_by_people_becomes_markup() -> None:
    drawing = draw(sheet(FULL), rule(), label='"><script>alert(1)</script>')
    assert "<script" not in drawing
    root = parsed(drawing)
    assert root.get("aria-label") == '"><script>alert(1)</script>'
    assert root.get("role") == "img"


def test_the_words_name_what_decides_with_its_time() -> None:
    said = describe(sheet(FULL), rule(), titles={"a": "Before"})
    assert said[:2] == ["Ended, 6:40 of 10:00.", "Section A, Before: last mark 1:30."]
    assert "Not performed: 7, critical (5:40)." in said
    assert "Stated wrong: 5, critical (2:30)." in said
    assert "1 breach: 4:00." in said
    assert "Paused 1:00 at 3:20, fire alarm; not counted." in said


@pytest.mark.parametrize(
    ("value", "text"), [(42.25, "42.3"), (42.0, "42"), (-0.25, "-0.2"), (0.04, "0"), (-1.26, "-1.3")]
)
def test_coordinates_round_to_a_tenth_half_up(value: float, text: str) -> None:
    assert n(value) == text


def test_letters_go_on_after_the_alphabet() -> None:
    assert [letter(k) for k in (0, 25, 26, 52)] == ["A", "Z", "AA", "BA"]

"""Single strokes at the edges, where a flag would leave the drawing."""

from __future__ import annotations

import re

import pytest

from checkoffs.attempts import ribbon_strokes as strokes
from checkoffs.attempts.ribbon_data import Tick
from checkoffs.attempts.ribbon_paint import Shape
from checkoffs.attempts.ribbon_scale import Frame

FULL = Frame(300, compact=False, axis=True)
COMPACT = Frame(300, compact=True, axis=False)


def attrs(shape: Shape) -> dict[str, str]:
    return dict(shape.attrs)


@pytest.mark.parametrize("frame", [FULL, COMPACT])
@pytest.mark.parametrize("x", [0.0, 2.0, 150.0, 298.0, 300.0])
def test_flags_stay_inside_and_their_hairline_stays_at_its_second(frame: Frame, x: float) -> None:
    triangle, line = strokes.breach_flags(frame, [x])
    points = [float(value) for value in re.findall(r"[MHL](-?[\d.]+)", attrs(triangle)["d"])]
    assert min(points) >= 0
    assert max(points) <= 300
    assert attrs(line)["d"].startswith(f"M{x:g} ")
    balloon = next(shape for shape in strokes.prompt_flag(frame, x) if shape.tag == "circle")
    assert 0 < float(attrs(balloon)["cx"]) < 300


def test_the_count_of_gathered_breaches_stands_on_the_side_with_room() -> None:
    said = [next(s for s in strokes.breach_flags(FULL, [x, x + 3]) if s.tag == "text") for x in (20, 280)]
    assert [attrs(shape)["text-anchor"] for shape in said] == ["start", "end"]


def test_the_pennant_flies_left_at_the_right_edge() -> None:
    flags = [attrs(list(strokes.needle(FULL, x))[1])["d"] for x in (100, 299)]
    assert "h9l" in flags[0]
    assert "h-9l" in flags[1]


def test_compact_has_no_hooks_rings_or_open_flags() -> None:
    for kind, count in (("self_corrected", 1), ("prompted", 1), ("covered", 2)):
        mark = Tick("a1", 1, kind, critical=False, at_ms=0)
        assert len(list(strokes.tick(COMPACT, 50, mark))) == count
        assert len(list(strokes.tick(FULL, 50, mark))) == count + 1


@pytest.mark.parametrize("kind", ["performed", "not_performed", "said"])
def test_critical_strokes_reach_further(kind: str) -> None:
    def reach(critical: bool) -> float:
        stroke = next(iter(strokes.tick(FULL, 50, Tick("a1", 1, kind, critical, 0))))
        start, end = re.findall(r"[ V]([\d.]+)", attrs(stroke)["d"])
        return abs(float(start) - float(end))

    assert reach(critical=True) > reach(critical=False)

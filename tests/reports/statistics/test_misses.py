"""Miss rates: what counts, the order, and when a step is shown in vermilion."""

from __future__ import annotations

from checkoffs.reports.statistics.misses import Step, miss_figures

STEPS = [Step("a", 1, "Cleans hands", False), Step("b", 2, "Scrubs the hub", True), Step("c", 3, "Labels", False)]


def test_what_cannot_be_told_is_left_out() -> None:
    marks = [("a", True), ("a", None), ("a", False), ("gone", True)]
    found = {figure.step.id: figure.rate for figure in miss_figures(STEPS, marks)}
    assert (found["a"].hits, found["a"].n) == (1, 2)
    assert not found["b"].computable


def test_critical_first_then_most_missed_then_in_order() -> None:
    marks = [("c", True), ("a", False), ("b", False)]
    assert [figure.step.id for figure in miss_figures(STEPS, marks)] == ["b", "c", "a"]


def test_alarm_needs_a_critical_step_ten_observations_and_the_whole_interval() -> None:
    """17 of 41 has the interval 28 to 57 % (Wilson), 4 of 10 has 17 to 69 %, worked outside with the same formula."""

    def alarming(step: str, hits: int, n: int) -> bool:
        marks = [(step, place < hits) for place in range(n)]
        return next(figure for figure in miss_figures(STEPS, marks) if figure.step.id == step).alarming

    assert alarming("b", 17, 41)
    assert not alarming("a", 17, 41)
    assert not alarming("b", 4, 10)
    assert not alarming("b", 9, 9)

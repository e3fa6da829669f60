"""How figures are said, and what is left out of what leaves the program."""

from __future__ import annotations

import pytest

from checkoffs.reports.statistics.intervals import wilson
from checkoffs.reports.words import leaving, said


@pytest.mark.parametrize(
    ("hits", "n", "inside", "outside"),
    [
        (17, 41, "17 of 41, 41 % (28 to 57 %)", "17 of 41, 41 % (28 to 57 %)"),
        (
            3,
            5,
            "3 of 5, 60 % (23 to 88 %); too few for a conclusion",
            "3 of 5, 60 % (23 to 88 %); too few for a conclusion",
        ),
        (3, 4, "3 of 4, 75 % (30 to 95 %); too few for a conclusion", "fewer than 5"),
        (0, 0, "not computable: nobody has tried", "not computable: nobody has tried"),
    ],
)
def test_rates_in_words(hits: int, n: int, inside: str, outside: str) -> None:
    """41 % (28 to 57) stands in Wilson's formula for 17 of 41; worked by hand once, as were the others."""
    assert said(wilson(hits, n)) == inside
    assert leaving(wilson(hits, n)) == outside

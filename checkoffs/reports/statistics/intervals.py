"""A share with its Wilson score interval, and when a share says too little.

Wilson, E. B. (1927), J. Am. Stat. Assoc. 22, 209–212; recommended for proportions in Newcombe, R. G. (1998), Stat.
Med. 17, 857–872 (method 3, without continuity correction). At n = 30 its true coverage lies between 0.930 and 0.978.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist

SUPPRESS_BELOW = 5  # a cell smaller than this shows single people; it does not leave the program
CONCLUDE_FROM = 10  # fewer observations are drawn hollow, without a conclusion


@dataclass(frozen=True)
class Rate:
    """``hits`` of ``n``. share, low, high in 0..1; all None when n is 0, because 0 of 0 is no share at all."""

    hits: int
    n: int
    share: float | None
    low: float | None
    high: float | None
    level: float

    @property
    def computable(self) -> bool:
        """Whether there is a share."""
        return self.share is not None

    @property
    def few(self) -> bool:
        """Too few observations for a conclusion."""
        return self.n < CONCLUDE_FROM

    @property
    def suppressed(self) -> bool:
        """Too few to leave the program."""
        return self.n < SUPPRESS_BELOW


def wilson(hits: int, n: int, level: float = 0.95) -> Rate:
    """The share and its Wilson score interval. Raises ValueError unless 0 <= hits <= n and 0 < level < 1."""
    if not 0 <= hits <= n:
        raise ValueError(f"{hits} of {n} is no share")
    if not 0 < level < 1:
        raise ValueError(f"{level} is no confidence level")
    if n == 0:
        return Rate(0, 0, None, None, None, level)
    z = NormalDist().inv_cdf(0.5 + level / 2)
    share, square = hits / n, z * z
    middle = (share + square / (2 * n)) / (1 + square / n)
    half = z * sqrt(share * (1 - share) / n + square / (4 * n * n)) / (1 + square / n)
    # The ends are exact where the count is extreme; floating point must not say 1.0000000000000002.
    low = 0.0 if hits == 0 else middle - half
    high = 1.0 if hits == n else middle + half
    return Rate(hits, n, share, low, high, level)

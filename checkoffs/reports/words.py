"""How figures are said: shares, intervals, and when there are too few. Pure."""

from __future__ import annotations

from checkoffs.reports.statistics.intervals import SUPPRESS_BELOW, Rate

TOO_FEW = f"fewer than {SUPPRESS_BELOW}"


def percent(share: float | None) -> str:
    """``41 %``; nothing for no share. Figures of 100 people carry no decimals."""
    return "" if share is None else f"{share * 100:.0f} %"


def interval(rate: Rate) -> str:
    """``28 to 57 %``."""
    if rate.low is None or rate.high is None:
        return ""
    return f"{rate.low * 100:.0f} to {rate.high * 100:.0f} %"


def said(rate: Rate) -> str:
    """``17 of 41, 41 % (28 to 57 %)``, or why there is no figure."""
    if not rate.computable:
        return "not computable: nobody has tried"
    few = "; too few for a conclusion" if rate.few else ""
    return f"{rate.hits} of {rate.n}, {percent(rate.share)} ({interval(rate)}){few}"


def leaving(rate: Rate) -> str:
    """The same for what leaves the program: a figure that could show single people is left out."""
    return TOO_FEW if rate.suppressed and rate.n else said(rate)

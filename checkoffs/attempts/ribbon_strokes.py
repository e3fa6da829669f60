"""The ribbon's strokes. Up = seen done, down = not done; one strip, linear in counted time. Pure.

``static/js/ribbon.js`` holds the same figures for the tablet; a shared set of drawings is tested against both.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from checkoffs.attempts.ribbon_data import Seam, Segment, Tick
from checkoffs.attempts.ribbon_paint import Shape, circle, n, path, rect, words
from checkoffs.attempts.ribbon_scale import Frame

UP_KINDS = {"performed": "", "self_corrected": " self", "prompted": " prompted"}


def band(
    frame: Frame, x: Callable[[float], float], segments: Sequence[Segment], outline: bool, offset: int
) -> Iterator[Shape]:
    """Sections end to end; a letter where there is room for it."""
    for part in segments:
        x0, x1 = x(part.start_ms + offset), x(part.end_ms + offset)
        look = ("odd" if part.turn % 2 else "even") + (" line" if outline else " cur" if part.current else "")
        yield rect(f"rb-seg {look}", x0, frame.by, x1 - x0, frame.band)
        if x1 - x0 > 10:
            drop, size = (3.4, 9.5) if frame.compact else (4.2, 12.0)
            yield words(
                f"rb-let {look}", (x0 + x1) / 2, frame.by + frame.band / 2 + drop, part.letter, size, "middle"
            )


def seam(frame: Frame, x: float) -> Iterator[Shape]:
    """A pause: a hatched seam of fixed width between two rails."""
    w, y0, y1 = (6.0 if frame.compact else 8.0), frame.by - 3, frame.base + 3
    x0, x1 = x - w / 2, x + w / 2
    yield rect("rb-pz", x0, y0, w, y1 - y0)
    hatch, k = "", y0
    while k < y1 + w:
        ya, yb, xa, xb = k, k - w, x0, x1
        if ya > y1:
            xa, ya = xa + ya - y1, y1
        if yb < y0:
            xb, yb = xb - (y0 - yb), y0
        if xb > xa:
            hatch += f"M{n(xa)} {n(ya)}L{n(xb)} {n(yb)}"
        k += 4
    yield path("rb-hat", hatch)
    yield path("rb-rail", f"M{n(x0)} {n(y0)}V{n(y1)}M{n(x1)} {n(y0)}V{n(y1)}")


def seams(frame: Frame, x: Callable[[float], float], pauses: Sequence[Seam], offset: int) -> Iterator[Shape]:
    """All pauses that took no counted time."""
    for pause in pauses:
        yield from seam(frame, x(pause.at_ms + offset))


def tick(frame: Frame, x: float, mark: Tick, outline: bool = False) -> Iterator[Shape]:
    """One stroke. Critical ones are taller and wear a keystone (up) or a larger square (down)."""
    crit = " crit" if mark.critical else ""
    if mark.kind == "covered":
        yield from _covered(frame, x, crit, " line" if outline else "")
    elif mark.kind in UP_KINDS:
        yield from _up(frame, x, mark, crit)
    elif mark.kind == "not_observed":
        yield path(f"rb-t nobs{crit}", f"M{n(x)} {n(frame.base + 1)}V{n(frame.base + frame.down - 2)}")
    else:
        yield from _down(frame, x, mark, crit)


def _covered(frame: Frame, x: float, crit: str, line: str) -> Iterator[Shape]:
    reach = 4.0 if frame.compact else 7.0
    by, base = frame.by, frame.base
    yield path(
        f"rb-t cov{crit}", f"M{n(x)} {n(by - 1 - reach)}V{n(by - 0.5)}M{n(x)} {n(base + 0.5)}V{n(base + 1 + reach)}"
    )
    yield path(f"rb-t covin{crit}{line}", f"M{n(x)} {n(by)}V{n(base)}")
    if not frame.compact:
        yield path(f"rb-t cov flag{crit}", f"M{n(x)} {n(by - reach - 0.5)}h5.5v4h-5.5")


def _up(frame: Frame, x: float, mark: Tick, crit: str) -> Iterator[Shape]:
    by = frame.by
    h = frame.up - 3 if mark.critical else frame.up * 0.5
    yield path(f"rb-t{UP_KINDS[mark.kind]}{crit}", f"M{n(x)} {n(by - 1)}V{n(by - h)}")
    if mark.critical:
        w, k = (3.4, 4.6) if frame.compact else (4.6, 6.4)
        y = by - h - 1
        yield path(
            "rb-k",
            f"M{n(x - w)} {n(y - k * 0.2)}Q{n(x)} {n(y - k * 0.55)} {n(x + w)} {n(y - k * 0.2)}"
            f"L{n(x + w * 0.5)} {n(y + k)}H{n(x - w * 0.5)}Z",
        )
    elif mark.kind == "self_corrected" and not frame.compact:
        yield path("rb-t self", f"M{n(x)} {n(by - h + 0.75)}H{n(x - 5)}V{n(by - h + 5)}")
    if mark.kind == "prompted" and not frame.compact:
        yield circle("rb-o", x, by - h - (2 if not mark.critical else 8), 2.4)


def _down(frame: Frame, x: float, mark: Tick, crit: str) -> Iterator[Shape]:
    said = mark.kind == "said"
    h = frame.down - 3 if mark.critical else frame.down * 0.55
    q = 2.0 if frame.compact else 3.4 if mark.critical else 2.6
    y = frame.base + h
    yield path(f"rb-t {'said' if said else 'no'}{crit}", f"M{n(x)} {n(frame.base + 1)}V{n(y)}")
    yield rect("rb-sqo" if said else f"rb-sq{crit}", x - q, y - q + 0.5, 2 * q, 2 * q)


def prompt_flag(frame: Frame, x: float) -> Iterator[Shape]:
    """An empty balloon on a hairline to its second."""
    r, y0 = (3.0 if frame.compact else 4.2), frame.y0
    at = min(max(x, r + 1), frame.width - r - 1)
    if not frame.compact:
        yield path("rb-prl", f"M{n(x)} {n(y0 + r * 2 + 2)}V{n(frame.by)}")
    yield circle("rb-pr", at, y0 + r + 1.5, r)
    tail = y0 + r * 2 + (4 if frame.compact else 5)
    yield path(
        "rb-prt", f"M{n(at - 2.6)} {n(y0 + r * 2 - 0.2)}L{n(at - 3)} {n(tail)} {n(at + 2)} {n(y0 + r * 2 + 0.8)}Z"
    )


def triangle(frame: Frame, x: float) -> Shape:
    """A breach: pointing down at its second, the top edge gapped."""
    r, y = (4.6 if frame.compact else 6.4), frame.y0 + 0.5
    return path(
        "rb-br",
        f"M{n(x - r)} {n(y)}H{n(x - 1.4)}V{n(frame.y0 + r * 0.75)}H{n(x + 1.4)}V{n(y)}H{n(x + r)}"
        f"L{n(x)} {n(frame.y0 + r * 2)}Z",
    )


def breach_flags(frame: Frame, places: Sequence[float]) -> Iterator[Shape]:
    """Breaches that would touch gather: one triangle, the count, a rail, a hairline to each second."""
    r, y0 = (4.6 if frame.compact else 6.4), frame.y0
    groups: list[list[float]] = []
    for x in places:
        if groups and x - groups[-1][-1] < 2 * r + 1:
            groups[-1].append(x)
        else:
            groups.append([x])
    for group in groups:
        middle = min(max((group[0] + group[-1]) / 2, r), frame.width - r)
        yield triangle(frame, middle)
        if len(group) == 1:
            yield path("rb-brl", f"M{n(group[0])} {n(y0 + r * 2)}V{n(frame.by)}")
            continue
        rail = y0 + r * 2 + 1.5
        lines = "".join(f"M{n(x)} {n(rail)}V{n(frame.by)}" for x in group)
        yield path("rb-brl", f"M{n(group[0] - 0.5)} {n(rail)}H{n(group[-1] + 0.5)}{lines}")
        text = f"{len(group)}" if frame.compact else f"{len(group)} breaches"
        size = 11.0 if frame.compact else 13.0
        left = middle + r + 4 + size * 0.55 * len(text) > frame.width
        yield words(
            "rb-brn",
            middle - r - 4 if left else middle + r + 4,
            y0 + r * 1.5 + 1,
            text,
            size,
            "end" if left else "start",
        )


def limit_bar(frame: Frame, x: float, over: bool) -> Iterator[Shape]:
    """Thin and thick bar at the limit; passed, it cuts the band, which goes on behind it."""
    if over:
        yield rect("rb-cut", x - 3, frame.by - 1, 12, frame.band + 2)
    y0, y1 = frame.by - (4 if frame.compact else 8), frame.base + (3 if frame.compact else 6)
    yield path("rb-lim1", f"M{n(x - 0.5)} {n(y0)}V{n(y1)}")
    yield path("rb-lim2", f"M{n(x + 4.5)} {n(y0)}V{n(y1)}")


def needle(frame: Frame, x: float) -> Iterator[Shape]:
    """Now: a needle with a pennant, which flies left at the right edge."""
    y = frame.by - frame.up + 1
    yield path("rb-now", f"M{n(x)} {n(y)}V{n(frame.base + frame.down - 2)}")
    way = "-" if x + 9 > frame.width else ""
    back = "" if way else "-"
    yield path("rb-nowh", f"M{n(x)} {n(y)}h{way}9l{back}3 3.6 {way}3 3.6h{back}9z")


def finish_bar(frame: Frame, x: float) -> Shape:
    """A single bar where the attempt ended."""
    return path("rb-end", f"M{n(x)} {n(frame.by - 6)}V{n(frame.base + 4)}")

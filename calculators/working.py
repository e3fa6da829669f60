"""One run through a calculation with its working as a student would write it, right or with slips on the way."""

from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache

from calculators.given import Given
from calculators.reading import Quantity
from calculators.units import DRUG_KINDS, Atom, Unit, ratio, unit
from calculators.writing import shown, with_unit

Line = tuple[str, str]


@dataclass(slots=True)
class Run:
    """`slips` are made on purpose wherever the calculation offers them; `offered` collects all that it offers.

    So one piece of code gives the right answer, each wrong one, and the working of both, line beside line.
    """

    given: Given
    slips: frozenset[str] = frozenset()
    lines: list[Line] = field(default_factory=list)
    offered: dict[str, None] = field(default_factory=dict)
    cautions: list[str] = field(default_factory=list)

    def may(self, slip: str) -> bool:
        """Whether this run makes that slip here."""
        self.offered[slip] = None
        return slip in self.slips

    def line(self, text: str, gives: str) -> None:
        self.lines.append((text, gives))

    def caution(self, text: str) -> None:
        if text not in self.cautions:
            self.cautions.append(text)


class Chain:
    """A number carried from line to line: "5 mcg/kg/min × 70 kg", "× 60 min/h", "÷ 1,600 mcg/mL"."""

    __slots__ = ("_lead", "number", "run", "text", "unit")

    def __init__(self, run: Run, number: Fraction, start: Unit, follows: bool = False, text: str = "") -> None:
        """`follows`: the quantity already stands on the line before, so the next line starts with its operation.

        `text` is the quantity printed, where the caller has it already.
        """
        self.run = run
        self.number = number
        self.unit = start
        self.text = text or with_unit(number, start.text)
        self._lead = "" if follows else self.text + " "

    @classmethod
    def of(cls, run: Run, quantity: Quantity) -> "Chain":
        return cls(run, quantity.number, quantity.unit, text=quantity.plain)

    def step(self, text: str, number: Fraction, after: Unit) -> None:
        """One line: what is done, written as `text`, and the number and unit it gives."""
        self.number, self.unit, self.text = number, after, with_unit(number, after.text)
        self.run.lines.append((self._lead + text, self.text))
        self._lead = ""

    def restate(self, remark: str, number: Fraction) -> None:
        """Another number in the same unit, from here on."""
        self.step(f"({remark})", number, self.unit)

    def times(self, number: Fraction, what: str, after: Unit) -> None:
        self.step(f"× {shown(number)} {what}", self.number * number, after)

    def over(self, number: Fraction, what: str, after: Unit) -> None:
        self.step(f"÷ {shown(number)} {what}", self.number / number, after)

    def kept(self, remark: str, after: Unit) -> None:
        """A step that a slip left out: the number stays, the person believes it has the next unit."""
        self.step(f"({remark})", self.number, after)

    def without_weight(self) -> Unit:
        return unit(self.unit.top, tuple([a for a in self.unit.under if a.kind != "patient_mass"]))

    def turn(self, target: Unit) -> None:
        """Convert to `target`, which has the same dimensions, one line for each part that differs."""
        self._turn_top(target.top)
        for theirs in target.under:
            mine = self.unit.below(theirs.kind)
            if mine is not None and mine is not theirs:
                self._turn_under(mine, theirs)

    def _turn_top(self, theirs: Atom) -> None:
        mine = self.unit.top
        if mine is theirs:
            return
        after = unit(theirs, self.unit.under)
        slips = mine.kind in DRUG_KINDS
        if slips and self.run.may("prefix_left_out"):
            self.kept(f"{mine.shown} taken as {theirs.shown}", after)
        elif slips and self.run.may("prefix_wrong_way"):
            self._scaled(theirs, mine, after)
        else:
            self._scaled(mine, theirs, after)

    def _turn_under(self, mine: Atom, theirs: Atom) -> None:
        after = unit(self.unit.top, tuple([theirs if a is mine else a for a in self.unit.under]))
        slips = mine.kind == "time"
        if slips and self.run.may("time_base_left_out"):
            self.kept(f"{conversion(theirs, mine)[1]} left out", after)
        elif slips and self.run.may("time_base_wrong_way"):
            self._scaled(mine, theirs, after)
        elif slips and self.run.may("time_base_twice"):
            self._scaled(theirs, mine, after)
            self._scaled(theirs, mine, after)
        else:
            self._scaled(theirs, mine, after)

    def _scaled(self, one: Atom, other: Atom, after: Unit) -> None:
        by, text = conversion(one, other)
        self.step(text, self.number * by, after)


@lru_cache(maxsize=4096)
def conversion(one: Atom, other: Atom) -> tuple[Fraction, str]:
    """How many `other` make one `one`, and how a person writes it: with a number above 1."""
    by = ratio(one, other)
    if by >= 1:
        return by, f"× {shown(by)} {other.shown}/{one.shown}"
    return by, f"÷ {shown(1 / by)} {one.shown}/{other.shown}"

"""Who is seen doing what, when, and what goes wrong: every way an attempt can end is told at least once.

``SESSIONS`` are past days of a cohort; ``TALES`` say what is special about one student's attempt there. Everybody
else passes with small, harmless irregularities drawn from the seed.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from random import Random

from checkoffs.management.demo.performance import Plan

HANDS, DRESSING, DRIP = "hand-hygiene", "sterile-dressing", "gravity-drip"
CATHETER, PIGGYBACK, PUMP = "urinary-catheter", "intermittent-infusion", "continuous-infusion"


@dataclass(frozen=True)
class Session:
    """One procedure of one cohort on one past day: days before today, and how many of its students came."""

    cohort: str
    procedure: str
    days_ago: int
    students: int
    evaluators: tuple[str, ...]


SESSIONS = (
    Session("26-A", HANDS, 44, 14, ("Jo Castellane", "Mina Farrow")),
    Session("26-B", HANDS, 43, 10, ("Desmond Achterberg", "Hal Quennell")),
    Session("26-A", DRESSING, 37, 14, ("Mina Farrow", "Desmond Achterberg")),
    Session("26-B", DRESSING, 36, 10, ("Jo Castellane", "Hal Quennell")),
    Session("26-A", DRIP, 30, 14, ("Jo Castellane", "Desmond Achterberg")),
    Session("26-B", DRIP, 29, 10, ("Mina Farrow", "Hal Quennell")),
    Session("26-A", CATHETER, 23, 14, ("Mina Farrow", "Jo Castellane")),
    Session("26-B", CATHETER, 22, 9, ("Hal Quennell", "Desmond Achterberg")),
    Session("26-A", PIGGYBACK, 16, 14, ("Jo Castellane", "Desmond Achterberg")),
    Session("26-B", PIGGYBACK, 15, 6, ("Mina Farrow",)),
    Session("26-A", PUMP, 6, 9, ("Jo Castellane", "Mina Farrow")),
)


@dataclass(frozen=True)
class Tale:
    """What is special about one attempt. ``retake_days``: so much later a second attempt, which passes."""

    plan: Plan = field(default_factory=Plan)
    expect: str = "satisfactory"
    no_show: str = ""
    second: str = ""  # an evaluator who scores a second sheet, blind
    second_plan: Plan | None = None
    moderated_by: str = ""
    moderation: tuple[tuple[str, str, str, str], ...] = ()  # type, id, verdict, reason
    amended: tuple[str, str, str] | None = None  # reason, new outcome, what is corrected
    voided: str = ""
    retake_days: int | None = None
    statement: str = ""
    refused: bool = False


def _fails(plan: Plan, retake_days: int | None = None, *, refused: bool = False) -> Tale:
    return Tale(replace(plan, rating=2), "unsatisfactory", retake_days=retake_days, refused=refused)


_LATE_KEY = "The marked form shows the towel used at the tap; the touch went to the wrong row. Agreed by both."
TALES: dict[tuple[str, str], Tale] = {
    # critical step missed; a timed step too short; too late; a prompt too many; nobody came
    ("Corin Haddow", HANDS): _fails(Plan(marks={"clean": "not_performed"}, notes=(("clean", "Held the rail."),)), 5),
    ("Luz Ibarra", HANDS): _fails(Plan(short="rub"), 5),
    ("Sipho Dlamini", HANDS): _fails(Plan(pace=1.18), 5),
    ("Bode Oyelaran", HANDS): _fails(Plan(prompts=(("rinse", "general"),)), 6),
    ("Beth Underhay", HANDS): Tale(
        replace(Plan(marks={"tap": "not_performed"}), rating=3),
        "unsatisfactory",
        amended=("Appeal heard by the lab group.", "satisfactory", _LATE_KEY),
    ),
    ("Rumi Bhattacharyya", HANDS): Tale(no_show="Did not come, no word sent.", expect="unsatisfactory"),
    # asepsis broken and not noticed; noticed and put right; safety stop; the lab's own fault
    ("Hal Fennimore", DRESSING): _fails(Plan(breach=("clean", "asepsis", False, False)), 7),
    ("Tove Eriksdotter", DRESSING): Tale(Plan(breach=("drop", "asepsis", True, True))),
    ("Dev Sundaresan", DRESSING): _fails(Plan(stop=("clean", "safety", "Reached over the field with the bin.")), 7),
    ("Wyn Pettigrew", DRESSING): Tale(
        Plan(stop=("apply", "lab", "Fire alarm; the building was cleared.")), "void", retake_days=2
    ),
    ("Imre Kessel", DRESSING): _fails(
        Plan(
            marks={
                "order": "not_performed",
                "pain": "not_performed",
                "place": "not_performed",
                "packs": "said",
                "date": "not_performed",
                "comfort": "not_performed",
            }
        ),
        7,
    ),
    # numbers: wrong drop factor; wrong unit; order broken
    ("Jess Calloway", DRIP): _fails(Plan(slips={"drop_rate": "wrong_drop_factor"}), 8),
    ("Sam Wetherall", DRIP): _fails(Plan(marks={"scrub": "not_performed"}), 8),
    ("Otso Tamminen", DRIP): _fails(Plan(said={"drop_rate": ("125", "mL/h")}), None),
    ("Rasa Jankauskas", CATHETER): _fails(Plan(swap=("clean", "insert")), None),
    ("Anest Gwilym", CATHETER): _fails(Plan(marks={"urine": "not_performed"}), 6),
    ("Asta Lindqvist", CATHETER): Tale(
        Plan(marks={"bag": "not_observed"}), "satisfactory",
        moderated_by="Piet Vandersteen",
        moderation=(("step", "bag", "performed", "The bag hangs below the bed in the photograph taken at the end."),),
    ),
    ("Mio Vasquez-Lund", CATHETER): Tale(Plan(pause=("insert", 95, "Trainer came off its stand."))),
    # two sheets that agree, and two that differ on a critical step
    ("Piers Aldous", PIGGYBACK): Tale(second="Mina Farrow", second_plan=Plan()),
    ("Thea Mbeki-Ross", PIGGYBACK): Tale(
        replace(Plan(pace=1.2), rating=3), second="Mina Farrow", second_plan=Plan(pace=1.2)
    ),
    ("Hal Fennimore", PIGGYBACK): Tale(
        Plan(), "moderation", second="Mina Farrow", second_plan=Plan(marks={"scrub": "not_performed"}, rating=2)
    ),
    ("Luz Ibarra", PIGGYBACK): _fails(Plan(slips={"rate": "time_base_left_out"}), 6),
    ("Nan Quillfeather", PIGGYBACK): _fails(Plan(marks={"third-check": "prompted"})),
    ("Jess Calloway", PIGGYBACK): Tale(
        Plan(), voided="The bag carried the label of another station; the order could not be followed."
    ),
    # the weight-based pump: pounds as kilograms; hub not scrubbed; not observed, waiting; overruled number
    ("Marit Adeyemi", PUMP): Tale(
        Plan(
            marks={"scrub": "not_performed", "weight": "not_performed"},
            slips={"rate": "pounds_as_kilograms"},
            prompts=(("label-2", "general"),),
            pause=("calc-rate", 55, "Fire alarm test."),
            breach=("spike", "asepsis", True, True),
            notes=(("scrub", "One quick wipe; the line was connected while the hub was still wet."),),
            rating=2,
            pace=0.88,
        ),
        "unsatisfactory",
        statement="I know what I did. I rushed after the alarm.",
    ),
    ("Piers Aldous", PUMP): Tale(Plan(marks={"label-1": "self_corrected"})),
    ("Corin Haddow", PUMP): _fails(Plan(marks={"scrub": "not_performed"}), refused=True),
    ("Sipho Dlamini", PUMP): Tale(Plan(marks={"double": "not_observed"}, rating=3), "moderation"),
    ("Tove Eriksdotter", PUMP): _fails(Plan(said={"rate": ("", None)}, slips={"vtbi": "whole_bag"}, pace=0.95)),
}  # fmt: skip


def ordinary(chance: Random, steps: list[str], critical: set[str]) -> Plan:
    """A pass with the small things that happen: a self-correction, one miss that does not decide."""
    harmless = [step for step in steps if step not in critical]
    marks: dict[str, str] = {}
    for step in chance.sample(harmless, k=min(len(harmless), chance.choice((0, 0, 1, 1, 2)))):
        marks[step] = chance.choice(("self_corrected", "self_corrected", "not_performed", "said"))
    return Plan(marks=marks, pace=chance.uniform(0.58, 0.86), rating=chance.choice((3, 4, 4, 4, 5)))

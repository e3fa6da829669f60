"""An invented 34-step procedure and an invented attempt at it, as plain data: what record tests seal and print.

The case's figures are worked in the fixture itself: 154 lb ÷ 2.2 lb/kg = 70 kg; 5 mcg/kg/min × 70 kg × 60 min/h ÷
1,600 mcg/mL = 13.125 mL/h; 500 mL − 30 mL = 470 mL. Forgetting the change of pounds gives 28.875 mL/h.
"""

from __future__ import annotations

from typing import Any

SHEET = "0192f7a0-0000-7000-8000-000000000001"
SECOND = "0192f7a0-0000-7000-8000-000000000002"
MODERATION = "0192f7a0-0000-7000-8000-000000000003"
PERSON = "5d0c8c1e-0000-4000-8000-000000000001"
DEVICE = "5d0c8c1e-0000-4000-8000-0000000000d1"

# section title, then the steps: text, and "!" before a critical one
LIST: list[tuple[str, list[str]]] = [
    (
        "Before the bag is touched",
        [
            "Reads the order aloud: drug, dose, weight, route",
            "Checks allergies and why the infusion is given",
            "Lays out pump, set, bag, labels and swabs",
            "Cleans hands",
            "!Identifies the patient by two identifiers",
        ],
    ),
    (
        "Bag and order",
        [
            "!Holds bag label against the order: drug, amount, volume",
            "Checks expiry date, clarity and leaks",
            "Reads the concentration with its units",
            "Reads the weight and turns it into kilograms",
            "Asks a second person to check the order on their own",
        ],
    ),
    (
        "Work out the settings",
        [
            "Writes dose, weight and concentration with units",
            "Works out the rate in mL/h",
            "Works out the volume to be infused, less the reserve",
            "!States the rate",
            "States the VTBI",
        ],
    ),
    (
        "Spike and prime",
        [
            "Cleans hands again",
            "Closes the roller clamp on the set",
            "Spikes the bag; spike touches nothing else",
            "Half fills the drip chamber",
            "Opens the clamp slowly and primes to the tip",
            "!Runs the line until no air is left in it",
            "Labels the line: drug, date, time, change due",
        ],
    ),
    (
        "Connect and set the pump",
        [
            "Loads the set in the pump, then opens the clamp",
            "!Scrubs the hub for the full time and lets it dry",
            "Flushes the cannula: no pain, no swelling",
            "Traces the line by hand from bag to patient",
            "Connects; the tip touches nothing else",
            "Picks the drug and enters dose, weight, concentration",
            "!Compares the pump with own figures and the order",
            "!Second person confirms the settings before start",
        ],
    ),
    (
        "Start and watch",
        [
            "Starts the pump and sees drops fall",
            "Looks at the site; says what would make them stop",
            "Cleans hands; call bell within reach",
            "Writes start time, rate, site and double check",
        ],
    ),
]
REASONS = {
    24: "An unscrubbed hub carries organisms straight into the blood.",
    14: "A wrong rate reaches the patient.",
}
# step number: second of the mark, mark ("" = caught up after the end)
MARKS: dict[int, tuple[int | None, str]] = {
    1: (18, "performed"), 2: (55, "performed"), 3: (100, "performed"), 4: (125, "performed"), 5: (151, "performed"),
    6: (182, "performed"), 7: (204, "said"), 8: (221, "performed"), 9: (262, "not_performed"), 10: (270, "prompted"),
    11: (385, "performed"), 12: (515, "performed"), 13: (555, "self_corrected"), 14: (586, "performed"),
    15: (607, "performed"), 16: (625, "performed"), 17: (647, "performed"), 18: (703, "self_corrected"),
    19: (719, "performed"), 20: (746, "performed"), 21: (795, "performed"), 22: (840, "performed"),
    23: (875, "performed"), 24: (1028, "not_performed"), 25: (955, "performed"), 26: (None, "performed"),
    27: (1015, "performed"), 28: (1095, "performed"), 29: (1175, "performed"), 30: (1225, "performed"),
    31: (1270, "performed"), 32: (1305, "self_corrected"), 33: (1345, "performed"), 34: (1423, "performed"),
}  # fmt: skip


def content() -> dict[str, Any]:
    """The procedure as one document, as a version keeps it."""
    sections, number = [], 0
    for place, (title, texts) in enumerate(LIST):
        steps = []
        for text in texts:
            number += 1
            steps.append(
                {
                    "id": f"s{number}", "text": text.removeprefix("!"), "cue": "Not for the record", "why": "",
                    "right": [],
                    "critical": text.startswith("!"),
                    "critical_reason": REASONS.get(number, "The patient would be harmed.") if text[0] == "!" else "",
                    "marks": None, "subpoints": [], "optional": False, "phrases": [], "measured": None, "timed": None,
                }
            )  # fmt: skip
        sections.append({"id": f"sec{place}", "title": title, "steps": steps})
    return {
        "title": "Start a weight-based continuous infusion by pump",
        "summary": "",
        "sections": sections,
        "rule": {
            "critical_all": True,
            "automatic_fail": ["breach_unnoticed", "breach_uncorrected", "safety_stop"],
            "mark_scale": {},
            "score": {"kind": "points", "cut": "28", "per_section": {}, "retake_cap": None},
            "limits": [
                {"id": "whole", "scope": "whole", "of": None, "limit_s": 1500, "on_reaching": "fail",
                 "scalable": True}
            ],
            "pairs": [
                {"id": "p1", "before": "s17", "after": "s18", "critical": True},
                {"id": "p2", "before": "s5", "after": "s27", "critical": True},
            ],
            "gaps": [],
            "stated": [
                {"id": "rate", "label": "Rate", "step": "s14", "critical": True, "must_be_right": True,
                 "closes_with": "s29", "grades_rounding": False, "no_unit": "wrong"},
                {"id": "vtbi", "label": "VTBI", "step": "s15", "critical": False, "must_be_right": True,
                 "closes_with": "s29", "grades_rounding": False, "no_unit": "wrong"},
            ],
            "prompts": {"total": 2, "by_kind": {"specific": 0}},
            "identity_required": True,
        },
    }  # fmt: skip


KEY: dict[str, Any] = {
    "calculators": "1.0",
    "checks": [
        {
            "id": "rate", "label": "Rate", "find": "rate", "unit": "mL/h", "units": ["mL/h", "mL/min", "gtt/min"],
            "exact": "105/8", "expected": "13.1", "text": "13.1 mL/h",
            "accepted": [{"low": "13.1", "high": "13.1", "verdict": "right", "why": "to a tenth, half up"}],
            "slips": [
                {
                    "code": "pounds_as_kilograms", "text": "pounds taken as kilograms", "value": "28.9",
                    "low": "28.85", "high": "28.95",
                    "working": [{"text": "5 mcg/kg/min × 154 × 60 min/h ÷ 1,600 mcg/mL", "gives": "28.875 mL/h"}],
                }
            ],
            "working": [
                {"text": "154 lb ÷ 2.2 lb/kg", "gives": "70 kg"},
                {"text": "800 mg ÷ 500 mL × 1,000 mcg/mg", "gives": "1,600 mcg/mL"},
                {"text": "5 mcg/kg/min × 70 kg × 60 min/h ÷ 1,600 mcg/mL", "gives": "13.125 mL/h"},
                {"text": "13.125 mL/h to a tenth, half up", "gives": "13.1 mL/h"},
            ],
            "cautions": [],
        },
        {
            "id": "vtbi", "label": "VTBI", "find": "vtbi", "unit": "mL", "units": ["mL", "L"], "exact": "470",
            "expected": "470", "text": "470 mL",
            "accepted": [{"low": "465", "high": "470", "verdict": "right", "why": "5 mL less is accepted"}],
            "slips": [], "working": [{"text": "500 mL − 30 mL kept in the bag", "gives": "470 mL"}], "cautions": [],
        },
    ],
}  # fmt: skip
CASE: dict[str, Any] = {
    "title": "Dopamine by weight",
    "order": "Dopamine 800 mg in 500 mL, 5 mcg/kg/min by pump. Keep 30 mL in the bag.",
    "values": [
        {"label": "Patient weight", "value": "154 lb"},
        {"label": "Drug in the bag", "value": "800 mg"},
        {"label": "Bag volume", "value": "500 mL"},
        {"label": "Dose ordered", "value": "5 mcg/kg/min"},
    ],
    "key": KEY,
}


class Log:
    """Writes the events of one sheet, numbered as a device does."""

    def __init__(self, sheet: str = SHEET, by: str = PERSON, device: str = DEVICE) -> None:
        self.sheet, self.by, self.device = sheet, by, device
        self.events: list[dict[str, Any]] = []

    def add(self, kind: str, second: float | None = 0, /, **payload: Any) -> str:
        """Append one event and give its id."""
        number = len(self.events) + 1
        made = f"{self.sheet[:-6]}{number:06d}"
        self.events.append(
            {
                "id": made, "sheet": self.sheet, "by": self.by, "device": self.device, "seq": number,
                "at_ms": None if second is None else int(second * 1000), "wall": "2026-10-14T09:05:00.000Z",
                "kind": kind, "payload": payload, "source": "server" if kind == "verified" else "tablet",
            }
        )  # fmt: skip
        return made


def events(
    *, marks: dict[int, tuple[int | None, str]] | None = None, rate: str = "28.9", sheet: str = SHEET
) -> list[dict[str, Any]]:
    """The whole log: identity, marks, a pause, a prompt, two breaches, two stated values, finish, rating."""
    marks = {**MARKS, **(marks or {})}
    log = Log(sheet)
    log.add("identity_confirmed", how="photo card")
    log.add("started")
    beside: list[tuple[float, str, dict[str, Any]]] = [
        (252, "prompted", {"step": "s10", "kind": "general"}),
        (310, "paused", {"reason": "fire alarm"}),
        (365, "resumed", {}),
        (585, "stated", {"check": "rate", "number": rate, "unit": "mL/h"}),
        (606, "stated", {"check": "vtbi", "number": "470", "unit": "mL"}),
        (679, "breach", {"step": "s18", "kind": "asepsis", "noticed": True, "corrected": True}),
        (1017, "breach", {"step": "s27", "kind": "asepsis", "noticed": True, "corrected": True}),
    ]
    timed = [
        (second, "marked", {"step": f"s{step}", "mark": mark})
        for step, (second, mark) in marks.items()
        if second is not None
    ]
    said: dict[str, str] = {}
    for second, kind, payload in sorted([*beside, *timed], key=lambda item: item[0]):
        made = log.add(kind, second, **payload)
        if kind == "stated":
            said[payload["check"]] = made
    log.add("finished", 1445)
    for step, (second, mark) in marks.items():
        if second is None:
            log.add("marked", 1470, step=f"s{step}", mark=mark, caught_up=True, in_time="yes")
    right = {"code": "right"}
    slip = right if rate == "13.1" else {
        "code": "wrong", "number": "wrong", "why": "", "notation": [],
        "slips": [{"code": "pounds_as_kilograms", "text": "pounds taken as kilograms", "value": "28.9"}],
    }  # fmt: skip
    log.add("verified", 1470, check="rate", statement=said["rate"], verdict=slip, calculators="1.0")
    log.add("verified", 1470, check="vtbi", statement=said["vtbi"], verdict=right, calculators="1.0")
    log.add("noted", 1480, step="s18", text="Spike touched the tray; took a new set without being told.")
    log.add("rated", 1490, rating=2)
    return log.events

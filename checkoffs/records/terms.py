"""What the ids of one procedure are called: numbers, texts, letters, labels. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

Json = Mapping[str, Any]


@dataclass(frozen=True)
class Terms:
    """What codes and ids are called in one procedure.

    steps: id → step with number and text; letters: section id → letter; checks: id → {"label", "expected"};
    slips: check id → the likeliest slip of what was said, in words.
    """

    steps: Mapping[str, Json]
    letters: Mapping[str, str]
    rule: Json
    checks: Mapping[str, Json]
    slips: Mapping[str, str]

    @classmethod
    def of(cls, sections: Iterable[Json], rule: Json, checks: Iterable[Json] = ()) -> Terms:
        """``sections`` lettered and numbered as in a snapshot; ``checks`` those of an answer key or of a snapshot."""
        listed = list(sections)
        expected = {check["id"]: check.get("text") or check.get("expected") for check in checks}
        return cls(
            steps={step["id"]: step for section in listed for step in section["steps"]},
            letters={section["id"]: section["letter"] for section in listed},
            rule=rule,
            checks={
                check["id"]: {"label": check.get("label", check["id"]), "expected": expected.get(check["id"])}
                for check in rule.get("stated", [])
            },
            slips={
                check["id"]: check["slips"][0]["text"] for check in checks if check.get("said") and check.get("slips")
            },
        )

    def step(self, key: str | None) -> int | None:
        """The printed number of a step."""
        return self.steps[key]["number"] if key is not None and key in self.steps else None

    def text(self, key: str) -> str:
        """The words of a step."""
        return str(self.steps[key]["text"])

    def scope(self, reason: Json) -> str:
        """What a limit covers."""
        if reason["scope"] == "section":
            return f"section {self.letters[reason['of']]}"
        return f"step {self.step(reason['of'])}" if reason["scope"] == "step" else "the whole"

"""A finding: one thing the rule asks, what was found, and whether it decides the outcome."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

Json = dict[str, Any]


@dataclass(frozen=True)
class Finding:
    """met: True kept, False failed, None cannot be told yet.

    decides: whether a failure fails the attempt. data: {"code", "kind", ... numbers} as shown (see ``reasons``).
    settle: (type, id, why) when a person can settle it. forces: cannot be left, whatever else was found.
    """

    met: bool | None
    decides: bool
    data: Mapping[str, Any]
    settle: tuple[str, str, str] | None = None
    forces: bool = False


@dataclass(frozen=True)
class Settlements:
    """What people settled: the evaluator on the own sheet, an instructor at moderation. The instructor wins."""

    own: Mapping[str, Json] = field(default_factory=dict)
    moderated: Mapping[str, Json] = field(default_factory=dict)

    def verdict(self, kind: str, key: str) -> str | None:
        """The settled verdict about one thing, e.g. ``verdict("pair", "p1")``."""
        found = self.moderated.get(f"{kind}:{key}") or self.own.get(f"{kind}:{key}")
        return found["verdict"] if found else None

    def shown(self, kind: str, key: str, found: str | None) -> Json:
        """{"settled": {"verdict", "reason", "by", "found"}}: the overruling beside what the log says; {} if none."""
        name = f"{kind}:{key}"
        settled = self.moderated.get(name) or self.own.get(name)
        if settled is None:
            return {}
        by = "instructor" if name in self.moderated else "evaluator"
        return {
            "settled": {
                "verdict": settled["verdict"],
                "reason": settled["reason"],
                "by": by,
                "found": found,
            }
        }

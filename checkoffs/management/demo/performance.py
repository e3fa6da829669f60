"""One student's performance as the evaluator taps it: a procedure, a plan of what goes wrong, a seed → taps in time.

Pure. The times keep every gap and timed step that the plan does not break, so that an attempt fails for the reason
its plan names and for no other.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random
from typing import Any

from checkoffs.procedures.content import Content, numbered_steps

Tap = tuple[str, dict[str, Any], int]  # kind, payload, at_ms


@dataclass(frozen=True)
class Plan:
    """What happens otherwise than expected. Steps and checks by their ids."""

    marks: dict[str, str] = field(default_factory=dict)
    swap: tuple[str, str] | None = None  # done in the wrong order
    pace: float = 0.75  # share of the time limit used
    said: dict[str, tuple[str, str | None]] = field(default_factory=dict)  # check → number ("": the right one), unit
    slips: dict[str, str] = field(default_factory=dict)  # check → code of a slip, looked up in the answer key
    prompts: tuple[tuple[str, str], ...] = ()  # step, kind
    breach: tuple[str, str, bool, bool] | None = None  # step, kind, noticed, corrected
    stop: tuple[str, str, str] | None = None  # at step, reason, text
    pause: tuple[str, int, str] | None = None  # before step, seconds, reason
    short: str | None = None  # a timed step done too briefly
    caught_up: tuple[str, ...] = ()
    notes: tuple[tuple[str, str], ...] = ()
    rating: int = 4
    unfinished: str | None = None  # the log ends at this step, the student still at work


def perform(content: Content, key: dict[str, Any] | None, plan: Plan, chance: Random) -> list[Tap]:
    """The taps of one attempt, in time order. ``key``: the answer key of the case, or None."""
    return _Performance(content, key, plan, chance).taps()


class _Performance:
    def __init__(self, content: Content, key: dict[str, Any] | None, plan: Plan, chance: Random) -> None:
        self.content, self.plan, self.chance = content, plan, chance
        self.checks = {check["id"]: check for check in (key or {}).get("checks", [])}
        self.out: list[Tap] = []
        self.done: dict[str, int] = {}
        self.now = 0

    def taps(self) -> list[Tap]:
        self.out += [("identity_confirmed", {"how": "name and student card"}, 0), ("started", {}, 0)]
        steps = self._in_order()
        for position, step in enumerate(steps):
            if self._ends_before(step):
                return self.out
            self._around(step)
            self.now = max(self.now + self._share(len(steps) - position), self._earliest(step))
            self._one(step)
        self._later()
        self.now += self.chance.randint(2_000, 6_000)
        self.out += [("finished", {}, self.now), ("rated", {"rating": self.plan.rating}, self.now + 4_000)]
        return self.out

    def _in_order(self) -> list[dict[str, Any]]:
        steps: list[dict[str, Any]] = [dict(numbered.step) for numbered in numbered_steps(self.content)]
        if self.plan.swap:
            early, late = self.plan.swap
            names = [step["id"] for step in steps]
            moved = steps.pop(names.index(late))
            steps.insert(names.index(early), moved)
        return steps

    def _ends_before(self, step: dict[str, Any]) -> bool:
        if self.plan.unfinished == step["id"]:
            return True
        if self.plan.stop and self.plan.stop[0] == step["id"]:
            _, reason, text = self.plan.stop
            self.out.append(("stopped", {"reason": reason, "text": text}, self.now + 3_000))
            self.out.append(("rated", {"rating": self.plan.rating}, self.now + 9_000))
            return True
        return False

    def _share(self, left: int) -> int:
        """What is left of the time to use, by the steps left, give or take; timed steps take their part first."""
        limit = next(x["limit_s"] for x in self.content["rule"]["limits"] if x["scope"] == "whole") * 1000
        each = max(limit * self.plan.pace - self.now, 0) / max(left, 1)
        return int(each * self.chance.uniform(0.55, 1.25))

    def _earliest(self, step: dict[str, Any]) -> int:
        after = 0
        for gap in self.content["rule"]["gaps"]:
            if gap["to"] == step["id"] and gap["at_least_s"] and gap["from"] in self.done:
                after = max(
                    after, self.done[gap["from"]] + gap["at_least_s"] * 1000 + self.chance.randint(800, 3_000)
                )
        return after

    def _latest(self, step: dict[str, Any]) -> int | None:
        ends = [
            self.done[gap["from"]] + gap["at_most_s"] * 1000 - 2_000
            for gap in self.content["rule"]["gaps"]
            if gap["to"] == step["id"] and gap["at_most_s"] and gap["from"] in self.done
        ]
        return min(ends, default=None)

    def _around(self, step: dict[str, Any]) -> None:
        """What the evaluator taps beside the list before this step."""
        name = step["id"]
        for at, kind in self.plan.prompts:
            if at == name:
                self.out.append(("prompted", {"step": name, "kind": kind}, self.now + 2_500))
        if self.plan.pause and self.plan.pause[0] == name:
            _, seconds, reason = self.plan.pause
            self.out.append(("paused", {"reason": reason}, self.now + 1_000))
            self.now += 1_000 + seconds * 1000
            self.out.append(("resumed", {}, self.now))
        if self.plan.breach and self.plan.breach[0] == name:
            _, kind, noticed, corrected = self.plan.breach
            self.out.append(
                ("breach", {"step": name, "kind": kind, "noticed": noticed, "corrected": corrected}, self.now + 1_500)
            )
            self.now += 4_000

    def _one(self, step: dict[str, Any]) -> None:
        name = step["id"]
        mark = self.plan.marks.get(name, "performed")
        latest = self._latest(step)
        if latest is not None:
            self.now = min(self.now, latest)
        for check in self.content["rule"]["stated"]:
            if check["step"] == name:
                self._say(check["id"])
        if name in self.plan.caught_up:
            return
        if step.get("timed") and mark in ("performed", "self_corrected", "prompted"):
            self._timed(step)
        self.out.append(("marked", {"step": name, "mark": mark}, self.now))
        if mark in ("performed", "self_corrected", "prompted"):
            self.done[name] = self.now
        if step.get("measured") and mark != "not_performed":
            self._measured(step)
        for at, text in self.plan.notes:
            if at == name:
                self.out.append(("noted", {"step": name, "text": text}, self.now + 1_200))

    def _timed(self, step: dict[str, Any]) -> None:
        least = (step["timed"]["at_least_s"] or 10) * 1000
        short = self.plan.short == step["id"]
        length = least - self.chance.randint(4_000, 8_000) if short else least + self.chance.randint(1_000, 6_000)
        start = self.now
        self.now += max(length, 2_000)
        self.out.append(("timed", {"step": step["id"], "start_ms": start, "stop_ms": self.now}, self.now))

    def _measured(self, step: dict[str, Any]) -> None:
        own = str(20 + self.chance.randint(0, 8))
        payload = {"step": step["id"], "value": own, "unit": step["measured"]["unit"], "expected": own}
        self.out.append(("measured", payload, self.now + 900))

    def _say(self, check: str) -> None:
        key = self.checks[check]
        number, unit = self.plan.said.get(check, (key["expected"], key["unit"]))
        number = number or key["expected"]
        if code := self.plan.slips.get(check):
            number = next(slip["value"] for slip in key["slips"] if slip["code"] == code)
        self.out.append(("stated", {"check": check, "number": number, "unit": unit}, self.now))
        self.now += self.chance.randint(1_500, 4_000)

    def _later(self) -> None:
        """Steps caught up in one go before the finish."""
        for name in self.plan.caught_up:
            self.now += 700
            mark = self.plan.marks.get(name, "performed")
            self.out.append(("marked", {"step": name, "mark": mark, "caught_up": True, "in_time": "yes"}, self.now))

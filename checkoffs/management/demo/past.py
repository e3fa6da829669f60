"""Plays the stories through the real actions: open, tap, sign, moderate, seal, amend, void, one day after another."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime, time, timedelta
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

import calculators
from checkoffs.attempts import actions as attempts
from checkoffs.attempts import moderation, sync
from checkoffs.attempts.models import Attempt, Sheet, State
from checkoffs.attempts.queries import factor_text, rule_document
from checkoffs.cases.drawing import draw
from checkoffs.cases.models import CaseTemplate
from checkoffs.management.demo.clock import the_time_is
from checkoffs.management.demo.college import College
from checkoffs.management.demo.performance import Plan, Tap, perform
from checkoffs.management.demo.stories import SESSIONS, TALES, Session, Tale, ordinary
from checkoffs.people.models import User
from checkoffs.procedures.content import numbered_steps
from checkoffs.records import actions as records
from checkoffs.scoring.decide import decide

SLOT = timedelta(minutes=40)
TRIES = 40


class StoryError(Exception):
    """A story that cannot be played as told; a mistake in the demo, not of the person who runs it."""


class Past:
    """Everything that happened before today. One seed makes one past."""

    def __init__(self, college: College, now: datetime, seed: int) -> None:
        self.college, self.now, self.chance = college, now, Random(seed)
        self.zone = ZoneInfo(college.program.time_zone)
        self.retakes: list[tuple[datetime, Session, User, Tale]] = []

    def play(self) -> None:
        """All sessions in order of time, each followed by the retakes that fell due before the next."""
        for session in sorted(SESSIONS, key=lambda held: -held.days_ago):
            start = self._morning(session.days_ago)
            self._retakes_until(start)
            self._session(session, start)
        self._retakes_until(self._morning(0))

    def _morning(self, days_ago: int, hour: int = 9) -> datetime:
        day = (self.now.astimezone(self.zone) - timedelta(days=days_ago)).date()
        return datetime.combine(day, time(hour), self.zone)

    def _session(self, session: Session, start: datetime) -> None:
        for place, student in enumerate(self.college.students(session.cohort)[: session.students]):
            turn, lane = divmod(place, len(session.evaluators))
            evaluator = self.college.people[session.evaluators[lane]]
            moment = start + turn * SLOT + timedelta(minutes=self.chance.randint(0, 6))
            tale = TALES.get((student.full_name, session.procedure))
            self._attempt(session, student, evaluator, moment, tale, place=f"Station {lane + 1}")
            if tale and tale.retake_days:
                due = moment + timedelta(days=tale.retake_days)
                self.retakes.append((due, session, student, Tale(expect="satisfactory")))

    def _retakes_until(self, moment: datetime) -> None:
        due = sorted((held for held in self.retakes if held[0] < moment), key=lambda held: held[0])
        self.retakes = [held for held in self.retakes if held[0] >= moment]
        for when, session, student, tale in due:
            other = self.college.people[session.evaluators[-1]]
            self._attempt(session, student, other, when, tale, place="Station 1")

    def _attempt(
        self, session: Session, student: User, evaluator: User, moment: datetime, tale: Tale | None, *, place: str
    ) -> None:
        version = self.college.versions[session.procedure]
        shared: dict[str, Any] = {
            "student": student,
            "cohort": self.college.cohorts[session.cohort],
            "version": version,
            "place": place,
        }
        if tale and tale.no_show:
            with the_time_is(moment + timedelta(minutes=15)):
                gone = attempts.close_no_show(by=evaluator, reason=tale.no_show, **shared)
                records.seal(by=evaluator, attempt=gone)
            return
        with the_time_is(moment):
            template = self.college.templates.get(session.procedure)
            seed = self._seed(template, tale.plan.slips if tale else {})
            attempt = attempts.open_attempt(by=evaluator, template=template, seed=seed, **shared)
        self._score(attempt, attempt.sheets.get(), tale, moment)
        if attempt.state == State.MODERATION and tale and tale.moderated_by:
            self._moderate(attempt, tale, moment + timedelta(days=1))
        if tale:
            self._afterwards(attempt, tale, moment)

    def _seed(self, template: CaseTemplate | None, slips: dict[str, str]) -> int:
        """A seed whose case allows the slips of the story: no pounds, no pounds taken as kilograms."""
        for _ in range(TRIES):
            seed = self.chance.randrange(1, 10**6)
            if template is None:
                return seed
            key = draw(template.content, seed).answer_key
            known = {check["id"]: {slip["code"] for slip in check["slips"]} for check in key["checks"]}
            if all(code in known[check] for check, code in slips.items()):
                return seed
        raise StoryError(f"{template}: no draw allows {slips}.")

    def _score(self, attempt: Attempt, sheet: Sheet, tale: Tale | None, moment: datetime) -> None:
        plan = tale.plan if tale else None
        taps = self.taps(attempt, plan, _one_sheet(tale))
        ends = self.tap(sheet, taps, moment)
        if tale and tale.second:
            with the_time_is(moment + timedelta(seconds=20)):
                other = self.college.people[tale.second]
                second = attempts.open_second_sheet(by=other, attempt=attempt)
            self.tap(second, self.taps(attempt, tale.second_plan, ""), moment + timedelta(seconds=25))
            with the_time_is(ends + timedelta(minutes=2)):
                records.sign(by=other, sheet=second, shown="no_statement", statement="", how="password")
        shown = "refused" if tale and tale.refused else "statement" if tale and tale.statement else "no_statement"
        with the_time_is(ends + timedelta(minutes=3)):
            records.sign(
                by=sheet.evaluator, sheet=sheet, shown=shown, statement=tale.statement if tale else "", how="password"
            )
        attempt.refresh_from_db()
        if tale and attempt.outcome != tale.expect and not tale.moderated_by and tale.expect != "moderation":
            raise StoryError(f"{attempt}: told {tale.expect}, came out {attempt.outcome or attempt.state}.")

    def taps(self, attempt: Attempt, plan: Plan | None, expect: str) -> list[Tap]:
        """Taps that come out as told: harmless irregularities of a pass may add up, so draw until they do not."""
        content = attempt.version.content
        steps = [numbered.step for numbered in numbered_steps(content)]
        names, critical = [s["id"] for s in steps], {s["id"] for s in steps if s["critical"]}
        key = attempt.case.answer_key if attempt.case else None
        for _ in range(TRIES):
            drawn = plan if plan is not None and plan != Plan() else ordinary(self.chance, names, critical)
            drawn = replace(drawn, pace=min(drawn.pace, 0.95)) if drawn.pace <= 1 else drawn
            taps = perform(content, key, drawn, self.chance)
            if not expect or self._outcome(attempt, taps) == (expect if plan else "satisfactory"):
                return taps
        raise StoryError(f"{attempt}: no performance comes out {expect}; the last gave {self._why(attempt, taps)}.")

    def _decision(self, attempt: Attempt, taps: list[Tap]) -> dict[str, Any]:
        events = self._events("trial", uuid.UUID(int=7), uuid.UUID(int=8), taps, self.now)
        key = {check["id"]: check for check in (attempt.case.answer_key["checks"] if attempt.case else [])}
        verdicts = {
            event["id"]: calculators.verify(key[p["check"]], p["number"], p["unit"])
            for event in events
            if event["kind"] == "stated" and (p := event["payload"])
        }
        sheets = [{"id": "trial", "kind": "primary", "events": events}]
        accommodation = {"time_factor": factor_text(attempt.time_factor)}
        return decide(rule_document(attempt.version), sheets, verdicts, accommodation).as_dict()

    def _outcome(self, attempt: Attempt, taps: list[Tap]) -> str:
        outcome: str = self._decision(attempt, taps)["outcome"]
        return outcome

    def _why(self, attempt: Attempt, taps: list[Tap]) -> str:
        decision = self._decision(attempt, taps)
        reasons = [(reason["code"], reason.get("step")) for reason in decision["reasons"]]
        return f"{decision['outcome']}: {reasons}, {decision['settle']}"

    def tap(self, sheet: Sheet, taps: list[Tap], moment: datetime) -> datetime:
        """Send the taps as the evaluator's tablet would; returns the end of the attempt."""
        device = uuid.UUID(int=self.chance.getrandbits(128), version=4)
        events = self._events(str(sheet.pk), sheet.evaluator.opaque, device, taps, moment)
        ends = moment + timedelta(milliseconds=taps[-1][2])
        with the_time_is(ends):
            for batch in _batches(events):
                sync.store_batch(by=sheet.evaluator, sheet=sheet, batch=sync.Batch(str(device), tuple(batch)))
        sheet.refresh_from_db()
        return ends

    def _events(
        self, sheet: str, by: uuid.UUID, device: uuid.UUID, taps: list[Tap], start: datetime
    ) -> list[dict[str, Any]]:
        return [
            {
                "id": str(self._uuid7(start + timedelta(milliseconds=at))),
                "sheet": sheet,
                "by": str(by),
                "device": str(device),
                "seq": seq,
                "at_ms": at,
                "wall": _wall(start + timedelta(milliseconds=at)),
                "kind": kind,
                "payload": payload,
                "source": "tablet",
            }
            for seq, (kind, payload, at) in enumerate(taps, 1)
        ]

    def _uuid7(self, moment: datetime) -> uuid.UUID:
        """RFC 9562 version 7 of a given moment, its random part from the seed."""
        milliseconds, bits = int(moment.timestamp() * 1000), self.chance.getrandbits(74)
        return uuid.UUID(int=milliseconds << 80 | 7 << 76 | (bits >> 62) << 64 | 2 << 62 | bits & (2**62 - 1))

    def _moderate(self, attempt: Attempt, tale: Tale, moment: datetime) -> None:
        moderator = self.college.people[tale.moderated_by]
        decided = [
            {"about": {"type": kind, "id": name}, "verdict": verdict, "reason": reason}
            for kind, name, verdict, reason in tale.moderation
        ]
        with the_time_is(moment):
            moderation.open_moderation(by=moderator, attempt=attempt)
            records.moderate(by=moderator, attempt=attempt, settlements=decided, how="password")
        attempt.refresh_from_db()
        if attempt.outcome != tale.expect:
            raise StoryError(
                f"{attempt}: moderated, told {tale.expect}, came out {attempt.outcome or attempt.state}."
            )

    def _afterwards(self, attempt: Attempt, tale: Tale, moment: datetime) -> None:
        if tale.amended:
            reason, outcome, text = tale.amended
            with the_time_is(moment + timedelta(days=4)):
                records.amend(
                    by=self.college.people["Ruth Okonjo"],
                    leaf=attempt.leaves.get(),
                    reason=reason,
                    changes={"outcome": outcome, "text": text},
                )
        if tale.voided:
            with the_time_is(moment + timedelta(days=1)):
                coordinator = self.college.people["Odile Brannagh"]
                records.void(by=coordinator, leaf=attempt.leaves.get(), reason=tale.voided)


def _one_sheet(tale: Tale | None) -> str:
    """The outcome that the primary sheet alone must give; empty when only both sheets together tell."""
    if tale is None:
        return "satisfactory"
    if tale.second:
        return ""
    return "moderation" if tale.moderated_by else tale.expect


def _batches(events: list[dict[str, Any]]) -> Iterable[list[dict[str, Any]]]:
    return (events[at : at + 20] for at in range(0, len(events), 20))


def _wall(moment: datetime) -> str:
    return moment.astimezone(ZoneInfo("UTC")).isoformat(timespec="milliseconds").replace("+00:00", "Z")

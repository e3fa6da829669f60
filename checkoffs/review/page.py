"""What the page of one attempt shows, put together from its documents."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from checkoffs.attempts.models import Attempt, Permit, State
from checkoffs.attempts.ribbon import Lane, Second
from checkoffs.people.models import User
from checkoffs.records import paper_steps
from checkoffs.records.paper import paper
from checkoffs.records.queries import chain_of, snapshot_of
from checkoffs.review import queries
from checkoffs.review.lane import lane_sentence, section_ends
from checkoffs.review.missed import review_of, teaching_of

Json = dict[str, Any]


def page_of(attempt: Attempt, reader: User) -> Json:
    """The context of ``review/attempt.html``; before the seal it holds no mark and no outcome."""
    chain = chain_of(attempt)
    context: Json = {"attempt": attempt, "own": attempt.student_id == reader.pk, "chain": chain}
    if not chain or attempt.state != State.SEALED:
        return context | {"running": attempt.state == State.OPEN}
    leaf = chain[-1]
    snapshot = snapshot_of(leaf)
    receipts = {receipt.leaf_id: receipt for receipt in queries.receipts_of(attempt)}
    context |= {"leaf": leaf, "first": chain[0], "receipt": receipts.get(leaf.pk), "receipts": receipts.values()}
    if snapshot is None:
        return context
    shown, tasks = paper(snapshot, leaf.digest), list(queries.tasks_of(attempt))
    return context | {
        "review": review_of(snapshot, teaching_of(attempt.version.content)),
        "paper": shown,
        "required": [task for task in tasks if task.required],
        "optional": [task for task in tasks if not task.required],
        "permit": _permit(attempt),
        "ribbon": _ribbon(snapshot, attempt),
    }


def _permit(attempt: Attempt) -> Permit | None:
    return Permit.objects.filter(student=attempt.student_id, procedure=attempt.version.procedure_id).first()


def _ribbon(snapshot: Mapping[str, Any], attempt: Attempt) -> Json | None:
    """What ``_parts/ribbon.html`` needs, and a sentence about the group; None without a sheet."""
    scored = [sheet for sheet in snapshot["sheets"] if sheet["kind"] != "moderation"]
    if not scored:
        return None
    sections, state, rehearsal = snapshot["procedure"]["sections"], scored[0]["state"], attempt.purpose != "summative"
    lane: Lane | None = None if rehearsal else queries.lane_for(attempt.version)
    ends = section_ends(state, sections)
    return {
        "state": state,
        "rule": snapshot["rule"],
        "limit_ms": snapshot["decision"]["time"]["limit_ms"],
        "titles": {section["id"]: section["title"] for section in sections},
        "second": _second(snapshot, scored),
        "lane": lane,
        "rehearsal": rehearsal,
        "words": lane_sentence(ends, lane, sections) if lane and ends else "",
    }


def _second(snapshot: Mapping[str, Any], scored: list[Json]) -> Second | None:
    if len(scored) < 2:
        return None
    numbers = {row["number"] for row in paper_steps.differences(snapshot)}
    differs = [key for key, number in paper_steps.numbers(snapshot).items() if number in numbers]
    return Second(state=scored[1]["state"], offset_ms=0, differs=differs)

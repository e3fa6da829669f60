"""Audit entries in words: whom they are about, and their details as short lines."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from checkoffs.ledger.models import AuditEntry
from checkoffs.people.models import User


@dataclass(frozen=True)
class TrailLine:
    """One entry as the page shows it."""

    entry: AuditEntry
    act: str
    about: str
    details: str


def explain(entries: Iterable[AuditEntry]) -> list[TrailLine]:
    """Put names to the people that entries are about; one query, however many entries."""
    found = list(entries)
    keys = {int(e.subject_id) for e in found if e.subject_type == "user" and e.subject_id.isdigit()}
    names = dict(User.objects.filter(pk__in=keys).values_list("pk", "full_name"))
    return [TrailLine(entry, act_words(entry.act), _about(entry, names), _details(entry)) for entry in found]


def act_words(act: str) -> str:
    """An act's code for people: `membership.extra_time` gives *membership extra time*."""
    return act.replace(".", " ").replace("_", " ")


def _about(entry: AuditEntry, names: dict[int, str]) -> str:
    if entry.subject_type == "user" and entry.subject_id.isdigit():
        return names.get(int(entry.subject_id), f"person {entry.subject_id}")
    return f"{entry.subject_type} {entry.subject_id[:8]}"


def _details(entry: AuditEntry) -> str:
    shown = []
    for name, value in entry.detail.items():
        if value in ("", None, [], {}):
            continue
        words = ", ".join(map(str, value)) if isinstance(value, list) else str(value)
        shown.append(f"{name.replace('_', ' ')}: {words[:120]}")
    return "; ".join(shown)

"""Reading records: what a snapshot is made of, which leaf stands, and which records a person may see."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from typing import Any

from django.db.models import OuterRef, Q, QuerySet, Subquery

from checkoffs.attempts import queries as attempts
from checkoffs.attempts.models import Attempt, Sheet, SheetKind
from checkoffs.ledger.queries import entries_about
from checkoffs.people.models import Cohort, User
from checkoffs.people.permissions import Access, Act
from checkoffs.procedures.models import Procedure
from checkoffs.records.canonical import read_code
from checkoffs.records.models import LeafKind, RecordLeaf, TreeHead
from checkoffs.scoring.fold import fold
from checkoffs.scoring.rule_text import rule_sentences

Json = dict[str, Any]


def iso(at: datetime | None) -> str | None:
    """``2026-10-14T09:36:05Z``: UTC, to the second, as snapshots write times."""
    return at.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z") if at else None


def person_of(user: User) -> Json:
    """A member of staff as named in a snapshot."""
    return {"name": user.full_name, "signature": user.signature, "opaque": str(user.opaque)}


def source_of(attempt: Attempt) -> Json:
    """All that ``snapshot.build`` needs of an attempt, as plain data."""
    inputs = attempts.scoring_inputs(attempt)
    rule = attempts.rule_document(attempt.version)
    counted = {sheet["id"]: sheet["events"] for sheet in inputs["sheets"]}
    rows = Sheet.objects.filter(attempt=attempt).select_related("evaluator").order_by("opened_at", "pk")
    order = list(SheetKind.values)
    sheets = sorted((row for row in rows if str(row.pk) in counted), key=lambda row: order.index(row.kind))
    version, program, case = attempt.version, attempt.cohort.program, attempt.case
    decision = attempts.decision_of(attempt)
    return {
        "program": {
            "name": program.name,
            "institution": program.institution,
            "time_zone": program.time_zone,
        },
        "student": {
            "name": attempt.student.full_name,
            "number": attempt.student.number,
            "opaque": str(attempt.student.opaque),
        },
        "procedure": {
            "title": version.content["title"],
            "version": version.number,
            "digest": version.digest,
            "content": version.content,
        },
        "rule": rule,
        # The steps stand on the same paper with their numbers, so the rule names them by number alone.
        "rule_text": rule_sentences(rule, {}, attempts.factor_text(attempt.time_factor)),
        "attempt": {
            "id": str(attempt.pk),
            "number": attempt.number,
            "purpose": attempt.purpose,
            "place": attempt.place,
            "opened_at": iso(attempt.opened_at),
            "time_factor": attempts.factor_text(attempt.time_factor),
            "cohort": attempt.cohort.name,
            "no_show": attempt.no_show,
            "no_show_reason": _no_show_reason(attempt),
            "opened_by": person_of(attempt.opened_by),
        },
        "sheets": [_sheet(row, rule, counted[str(row.pk)]) for row in sheets],
        "decision": decision,
        "case": None
        if case is None
        else {
            "title": case.content["title"],
            "order": case.content["order"],
            "values": case.content["lines"],
            "key": case.answer_key,
        },
        "versions": {
            "fold": decision["fold"],
            "calculators": case.calculators if case else "",
            "procedure": version.number,
        },
    }


def _no_show_reason(attempt: Attempt) -> str:
    """A no-show has no sheet to say why; its audit entry does."""
    if not attempt.no_show:
        return ""
    entry = entries_about(attempt).filter(act="attempt.no_show").first()
    return str(entry.detail["reason"]) if entry else ""


def _sheet(row: Sheet, rule: Json, events: list[Json]) -> Json:
    return {
        "id": str(row.pk),
        "kind": row.kind,
        "evaluator": person_of(row.evaluator),
        "signed_at": iso(row.signed_at),
        "signed_how": row.signed_how,
        "shown": row.shown,
        "shown_at": iso(row.shown_at),
        "statement": row.statement,
        "state": fold(rule, events).as_dict(),
        "events": events,
    }


def snapshot_of(leaf: RecordLeaf) -> Json | None:
    """The stored snapshot, or None when it was disposed of."""
    content = getattr(leaf, "content", None)
    return json.loads(bytes(content.canonical)) if content else None


def chain_of(attempt: Attempt) -> list[RecordLeaf]:
    """Record, amendments and void of an attempt, oldest first; the last one stands."""
    rows = RecordLeaf.objects.filter(attempt=attempt).select_related("sealed_by", "amends", "content")
    return list(rows.order_by("index"))


def standing_of(attempt: Attempt) -> RecordLeaf | None:
    """The leaf that stands for an attempt, or None before the seal."""
    return RecordLeaf.objects.filter(attempt=attempt).order_by("-index").first()


def leaf_hashes(size: int | None = None) -> list[bytes]:
    """The first ``size`` leaves of the tree (default: all) in their order, 32 raw bytes each."""
    rows = RecordLeaf.objects.order_by("index").values_list("leaf_hash", flat=True)
    return [bytes.fromhex(one) for one in (rows if size is None else rows[:size])]


def latest_head() -> TreeHead | None:
    """The newest signed tree head, for print on reports; None before the first PDF was set."""
    return TreeHead.objects.order_by("-id").first()


def with_standing(rows: QuerySet[Attempt]) -> QuerySet[Attempt]:
    """Attempts with ``standing_outcome``, ``standing_code`` and ``standing_kind``, null before the seal.

    Whoever counts outcomes counts these: ``Attempt.outcome`` stays what the rule gave at the seal.
    """
    latest = RecordLeaf.objects.filter(attempt=OuterRef("pk")).order_by("-index")
    return rows.annotate(
        standing_outcome=Subquery(latest.values("outcome")[:1]),
        standing_code=Subquery(latest.values("code")[:1]),
        standing_kind=Subquery(latest.values("kind")[:1]),
    )


def _seen_by(access: Access) -> Q:
    person = access.person
    own_sheets = Sheet.objects.filter(evaluator=person).values("attempt")
    return (
        Q(attempt__student=person)
        | Q(attempt__cohort__in=access.cohorts(Act.SEE_RESULTS).values("pk"))
        | Q(attempt__in=own_sheets)
    )


def leaves_seen_by(access: Access) -> QuerySet[RecordLeaf]:
    """Every leaf this person may read: own, of cohorts whose results they may see, and of own sheets."""
    return RecordLeaf.objects.filter(_seen_by(access)).select_related(
        "attempt__student", "attempt__cohort__program", "attempt__version__procedure", "sealed_by"
    )


def records_seen_by(access: Access) -> QuerySet[RecordLeaf]:
    """The standing leaf of each attempt this person may read, newest first, with nothing large loaded."""
    latest = RecordLeaf.objects.filter(attempt=OuterRef("attempt")).order_by("-index").values("pk")[:1]
    return (
        leaves_seen_by(access)
        .filter(pk=Subquery(latest))
        .defer("attempt__version__content")
        .order_by("-sealed_at", "-index")
    )


def amendable_by(access: Access, act: Act) -> QuerySet[RecordLeaf]:
    """Leaves this person may amend (Act.AMEND) or void (Act.VOID); nobody changes a record of their own attempt."""
    return (
        leaves_seen_by(access)
        .filter(attempt__cohort__in=access.cohorts(act).values("pk"))
        .exclude(attempt__student=access.person)
        .exclude(kind=LeafKind.VOID)
    )


def choices_for(access: Access) -> tuple[QuerySet[Cohort], QuerySet[Procedure]]:
    """The cohorts and procedures that occur among the records this person may see."""
    seen = RecordLeaf.objects.filter(_seen_by(access))
    cohorts = Cohort.objects.filter(pk__in=seen.values("attempt__cohort"))
    return cohorts, Procedure.objects.filter(pk__in=seen.values("attempt__version__procedure")).order_by("title")


def filtered(rows: QuerySet[RecordLeaf], wanted: Json) -> QuerySet[RecordLeaf]:
    """Rows narrowed by ``q`` (student's name or number, or code), ``cohort``, ``procedure`` and ``outcome``."""
    if wanted.get("cohort"):
        rows = rows.filter(attempt__cohort=wanted["cohort"])
    if wanted.get("procedure"):
        rows = rows.filter(attempt__version__procedure=wanted["procedure"])
    if wanted.get("outcome"):
        rows = rows.filter(outcome=wanted["outcome"])
    if text := (wanted.get("q") or "").strip():
        student = Q(attempt__student__full_name__icontains=text) | Q(attempt__student__number__iexact=text)
        rows = rows.filter(student | Q(code=read_code(text) or text))
    return rows

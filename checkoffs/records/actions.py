"""Sealing, amending and voiding: each adds one leaf, and nothing that was sealed is ever touched."""

from __future__ import annotations

import secrets
from typing import Any

from django.db import connection, transaction
from django.db.models import Max
from django.utils import timezone

from checkoffs.attempts import actions as attempts
from checkoffs.attempts import moderation
from checkoffs.attempts.models import Attempt, Sheet, SheetKind, State
from checkoffs.ledger.actions import action, audit
from checkoffs.people.models import User
from checkoffs.records import queries, snapshot, tasks
from checkoffs.records.canonical import canonical_bytes, code_from, digest_of, leaf_hash
from checkoffs.records.errors import RecordError
from checkoffs.records.models import LeafKind, RecordContent, RecordLeaf

_LEAF_LOCK = 7_391_823  # any fixed number; names the advisory lock of the leaves on PostgreSQL


@action
def seal(*, by: User, attempt: Attempt) -> RecordLeaf:
    """Freeze a finished attempt as its record, and have its PDF set in the background.

    All its sheets are signed (a no-show has none) and the decision needs nobody any more; else RecordError with code
    ``already_sealed``, ``unsigned``, ``no_sheet`` or ``needs_moderation``.
    """
    held = _locked(attempt.pk)
    _may_be_sealed(held)
    source = queries.source_of(held)
    if source["decision"]["outcome"] not in snapshot.OUTCOMES:
        raise RecordError("needs_moderation", "", "The outcome still needs a moderator.")
    made = _next_seal()
    leaf = _keep(by=by, attempt=held, document=snapshot.build(source, made), amends=None)
    held.state, held.outcome, held.sealed_at = State.SEALED, leaf.outcome, leaf.sealed_at
    held.save(update_fields=["state", "outcome", "sealed_at"])
    attempt.refresh_from_db(fields=["state", "outcome", "sealed_at"])
    return leaf


def _locked(attempt_id: Any) -> Attempt:
    rows = Attempt.objects.select_for_update(of=("self",), no_key=True)
    return rows.select_related("version", "case", "student", "opened_by", "cohort__program").get(pk=attempt_id)


def _may_be_sealed(attempt: Attempt) -> None:
    if attempt.sealed_at is not None:
        raise RecordError("already_sealed", "", "This attempt is sealed already.")
    signatures = list(attempt.sheets.values_list("signed_at", flat=True))
    if attempt.no_show == bool(signatures):  # neither or both
        raise RecordError("no_sheet", "", "An attempt has a sheet, or it is a no-show.")
    if None in signatures:
        raise RecordError("unsigned", "", "A sheet of this attempt is not signed yet.")


@action
def sign(*, by: User, sheet: Sheet, shown: str, statement: str, how: str) -> RecordLeaf | None:
    """Sign a sheet and, when that was the last signature and nobody else has to decide, seal: both or neither.

    Raises AttemptError as ``attempts.sign_sheet`` does.
    """
    held = attempts.sign_sheet(by=by, sheet=sheet, shown=shown, statement=statement, how=how)
    return seal(by=by, attempt=held.attempt) if held.attempt.state == State.SIGNED else None


@action
def moderate(*, by: User, attempt: Attempt, settlements: list[dict[str, Any]], how: str) -> RecordLeaf | None:
    """Claim the moderation if nobody has, settle, and seal when nothing is open any more: all or nothing.

    Raises AttemptError as ``moderation.open_moderation`` and ``settle_by_moderator`` do.
    """
    if not attempt.sheets.filter(kind=SheetKind.MODERATION, evaluator=by).exists():
        moderation.open_moderation(by=by, attempt=attempt)
    decision = moderation.settle_by_moderator(by=by, attempt=attempt, settlements=settlements, how=how)
    return None if decision["outcome"] == "moderation" else seal(by=by, attempt=attempt)


@action
def amend(*, by: User, leaf: RecordLeaf, reason: str, changes: dict[str, Any]) -> RecordLeaf:
    """Put an amendment beside a record: a new leaf that repeats it with a correction; the original stays.

    ``changes``: {"outcome": "satisfactory" | "unsatisfactory" | None to leave it, "text": what is corrected}.
    Raises RecordError with code ``superseded``, ``void``, ``own_record``, ``disposed`` or ``invalid``.
    """
    before = _last(leaf, by)
    outcome, text = changes.get("outcome") or None, str(changes.get("text") or "").strip()
    if outcome not in (None, "satisfactory", "unsatisfactory"):
        raise RecordError(
            "invalid", "outcome", "Choose satisfactory or unsatisfactory, or leave the outcome as it is."
        )
    if outcome == before["outcome"]:
        outcome = None
    if outcome is None and not text:
        raise RecordError("invalid", "text", "Say what is corrected, or give another outcome.")
    document = snapshot.amend(
        before,
        leaf.digest,
        _next_seal(),
        author=queries.person_of(by),
        reason=_reason(reason),
        correction={"outcome": outcome, "text": text},
    )
    return _keep(by=by, attempt=leaf.attempt, document=document, amends=leaf)


@action
def void(*, by: User, leaf: RecordLeaf, reason: str) -> RecordLeaf:
    """Say that a record does not count; it stays visible. Raises RecordError as ``amend`` does."""
    before = _last(leaf, by)
    document = snapshot.void(before, leaf.digest, _next_seal(), author=queries.person_of(by), reason=_reason(reason))
    return _keep(by=by, attempt=leaf.attempt, document=document, amends=leaf)


def _last(leaf: RecordLeaf, by: User) -> dict[str, Any]:
    """The snapshot of a leaf that may be followed by another one."""
    _locked(leaf.attempt_id)  # one change at a time to one attempt
    standing = queries.standing_of(leaf.attempt)
    if standing is None or standing.pk != leaf.pk:
        raise RecordError("superseded", "", "Another document already stands in place of this one.")
    if leaf.kind == LeafKind.VOID:
        raise RecordError("void", "", "A void record is not changed any more.")
    if leaf.attempt.student_id == by.pk:
        raise RecordError("own_record", "", "Nobody changes a record of their own attempt.")
    before = queries.snapshot_of(leaf)
    if before is None:
        raise RecordError("disposed", "", "The content of this record was disposed of.")
    return before


def _reason(text: str) -> str:
    if not text.strip():
        raise RecordError("invalid", "reason", "Give the reason; it is printed on the record.")
    return text.strip()


def _next_seal() -> snapshot.Seal:
    """The next free place among the leaves, held until the transaction ends; a code nobody has; fresh salt."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_LEAF_LOCK])
    last = RecordLeaf.objects.aggregate(last=Max("index"))["last"]
    code = code_from(secrets.randbits(64))
    while RecordLeaf.objects.filter(code=code).exists():
        code = code_from(secrets.randbits(64))
    sealed_at = queries.iso(timezone.now()) or ""
    return snapshot.Seal(code, 0 if last is None else last + 1, sealed_at, secrets.token_bytes(16))


def _keep(*, by: User, attempt: Attempt, document: dict[str, Any], amends: RecordLeaf | None) -> RecordLeaf:
    canonical = canonical_bytes(document)
    digest = digest_of(canonical)
    leaf = RecordLeaf.objects.create(
        index=document["index"],
        kind=document["kind"],
        code=document["code"],
        attempt=attempt,
        amends=amends,
        outcome=document["outcome"],
        digest=digest,
        leaf_hash=leaf_hash(digest),
        sealed_by=by,
        sealed_at=document["sealed_at"],
    )
    leaf.refresh_from_db(fields=["sealed_at"])
    RecordContent.objects.create(leaf=leaf, canonical=canonical)
    acts = {"record": "record.sealed", "amendment": "record.amended", "void": "record.voided"}
    detail = {name: document[name] for name in ("code", "index", "outcome")} | {"digest": digest}
    if amends is not None:
        detail |= {"amends": amends.code, "reason": document["reason"]}
    audit(by=by, act=acts[document["kind"]], subject=leaf, program=attempt.cohort.program, detail=detail)
    transaction.on_commit(lambda: tasks.order_pdf(leaf))
    transaction.on_commit(tasks.order_what_follows)
    return leaf

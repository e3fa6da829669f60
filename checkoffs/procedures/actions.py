"""Writing procedures: a new one, its draft, publishing a version, taking it out of use."""

from __future__ import annotations

import hashlib
from datetime import datetime
from typing import Any, cast

import rfc8785
from django.db.models import Max
from django.utils import timezone

from checkoffs.ledger.actions import action, audit
from checkoffs.people.models import Program, User
from checkoffs.procedures.changes import changed_words
from checkoffs.procedures.content import Content, completed, validate
from checkoffs.procedures.errors import (
    ConflictError,
    ContentError,
    NoDraftError,
    ProcedureError,
    PublishRefusedError,
    RetiredError,
)
from checkoffs.procedures.models import Procedure, ProcedureDraft, ProcedureVersion
from checkoffs.procedures.queries import SAVED, changes_since, content_of, findings_of


@action
def create_procedure(*, by: User, program: Program, content: Content) -> Procedure:
    """A new procedure with its first draft. Raises ContentError, and ProcedureError without a title."""
    _sound(content)
    title = _title(content)
    procedure = Procedure.objects.create(program=program, title=title, created_by=by)
    ProcedureDraft.objects.create(procedure=procedure, content=content, updated_by=by)
    audit(by=by, act="procedure.created", subject=procedure, program=program, detail={"title": title})
    return procedure


@action
def open_draft(*, by: User, procedure: Procedure) -> ProcedureDraft:
    """The draft; where there is none, a new one that starts from the newest version."""
    held = _in_use(procedure)
    draft = ProcedureDraft.objects.filter(procedure=held).first()
    if draft is not None:
        return draft
    newest = held.versions.order_by("-number").first()
    if newest is None:
        raise NoDraftError("There is neither a draft nor a version to start from.")
    draft = ProcedureDraft.objects.create(procedure=held, content=newest.content, updated_by=by)
    audit(
        by=by,
        act="procedure.draft_opened",
        subject=held,
        program=held.program,
        detail={"from_version": newest.number},
    )
    return draft


@action
def save_draft(*, by: User, procedure: Procedure, content: Content, revision: int) -> ProcedureDraft:
    """Put new content into the draft. ``revision``: the one the change was made on.

    Raises ConflictError when a colleague saved in between, ContentError for a malformed document, NoDraftError,
    RetiredError. The same content again changes nothing.
    """
    held = _in_use(procedure)
    draft = _draft_at(held, revision)
    _sound(content)
    old = content_of(draft)
    if content == old:
        return draft
    title = content["title"].strip()
    draft.content, draft.revision, draft.updated_by = dict(content), draft.revision + 1, by
    draft.save()
    if title and not held.versions.exists():
        held.title = title  # after the first version, the title in use changes when the next one is published
        held.save(update_fields=["title"])
    detail = {"revision": draft.revision, "changed": changed_words(old, content)}
    audit(by=by, act=SAVED, subject=held, program=held.program, detail=detail)
    return draft


@action
def discard_draft(*, by: User, procedure: Procedure, revision: int) -> None:
    """Throw a draft away that a version stands behind. Raises ConflictError, NoDraftError, ProcedureError."""
    held = _in_use(procedure)
    draft = _draft_at(held, revision)
    if not held.versions.exists():
        raise ProcedureError("This draft is all there is of the procedure; take the procedure out of use instead.")
    draft.delete()
    audit(by=by, act="procedure.draft_discarded", subject=held, program=held.program, detail={"revision": revision})


@action
def publish(*, by: User, procedure: Procedure, revision: int, at: datetime | None = None) -> ProcedureVersion:
    """Freeze the draft as the next version and close it. ``at``: the moment, left out = now.

    The digest is SHA-256 over the canonical JSON (RFC 8785) of the whole content. Raises PublishRefusedError with
    every reason, ConflictError, NoDraftError, RetiredError.
    """
    held = _in_use(procedure)
    draft = _draft_at(held, revision)
    findings = findings_of(held, content_of(draft))
    if findings:
        raise PublishRefusedError(findings)
    content = completed(content_of(draft))
    number = (held.versions.aggregate(last=Max("number"))["last"] or 0) + 1
    version = ProcedureVersion.objects.create(
        procedure=held,
        number=number,
        content=content,
        digest=digest_of(content),
        published_by=by,
        published_at=at or timezone.now(),
    )
    held.title = content["title"].strip()
    held.save(update_fields=["title"])
    draft.delete()
    detail: dict[str, Any] = {"version": number, "digest": version.digest}
    audit(by=by, act="procedure.published", subject=held, program=held.program, detail=detail)
    return version


@action
def retire(*, by: User, procedure: Procedure) -> None:
    """Take a procedure out of use: no new attempts; what was scored with it stays. Raises RetiredError."""
    held = _in_use(procedure)
    held.retired_at = timezone.now()
    held.save(update_fields=["retired_at"])
    audit(by=by, act="procedure.retired", subject=held, program=held.program)


@action
def bring_back(*, by: User, procedure: Procedure) -> None:
    """Put a retired procedure into use again; one in use stays as it is."""
    held = Procedure.objects.select_for_update().get(pk=procedure.pk)
    if held.retired_at is None:
        return
    held.retired_at = None
    held.save(update_fields=["retired_at"])
    audit(by=by, act="procedure.brought_back", subject=held, program=held.program)


def digest_of(content: Content) -> str:
    """SHA-256 (hex) of the canonical JSON (RFC 8785) of a content."""
    return hashlib.sha256(rfc8785.dumps(cast(Any, content))).hexdigest()


def _in_use(procedure: Procedure) -> Procedure:
    held = Procedure.objects.select_for_update().get(pk=procedure.pk)
    if held.retired_at is not None:
        raise RetiredError("This procedure is out of use. Bring it back before changing it.")
    return held


def _draft_at(procedure: Procedure, revision: int) -> ProcedureDraft:
    draft = ProcedureDraft.objects.select_for_update().filter(procedure=procedure).first()
    if draft is None:
        raise NoDraftError("The draft is no longer there: it was published or thrown away.")
    if draft.revision != revision:
        changes = changes_since(procedure, revision)
        raise ConflictError("Someone else changed this draft in the meantime.", draft.revision, changes)
    return draft


def _sound(content: Content) -> None:
    if problems := validate(content):
        raise ContentError(problems)


def _title(content: Content) -> str:
    title = content["title"].strip()
    if not title:
        raise ProcedureError("Give the procedure a title.")
    return title

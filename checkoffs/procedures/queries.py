"""Reading procedures: lists, one procedure, its draft and versions, what stands against publishing."""

from __future__ import annotations

from typing import Any, cast

from django.db.models import Count, Max, Prefetch, Q, QuerySet

from checkoffs.ledger.queries import entries_about
from checkoffs.people.models import Program
from checkoffs.people.permissions import Access, Act
from checkoffs.procedures.checks import Finding, refusals
from checkoffs.procedures.content import Content
from checkoffs.procedures.errors import ColleagueChange
from checkoffs.procedures.models import Procedure, ProcedureDraft, ProcedureVersion

SORTS = {
    "title": ("title", "pk"),
    "-title": ("-title", "pk"),
    "used": ("attempt_count", "title"),
    "-used": ("-attempt_count", "title"),
    "published": ("last_published", "title"),
    "-published": ("-last_published", "title"),
}
STATES = ("in_use", "draft", "retired", "all")
SAVED = "procedure.draft_saved"


def procedures_seen(access: Access, act: Act = Act.READ_PROCEDURES) -> QuerySet[Procedure]:
    """Procedures of the programs in which the act is granted, retired ones too."""
    return Procedure.objects.filter(program__in=access.programs(act)).select_related("program")


def may_write(access: Access, program: Program) -> bool:
    """Whether this person writes procedures of the program."""
    return access.may(Act.WRITE_PROCEDURES, program=program)


def procedure_list(access: Access, *, text: str = "", state: str = "in_use", sort: str = "") -> QuerySet[Procedure]:
    """The list, each with ``attempt_count``, ``last_published``, its draft, and ``seen_versions`` (newest first)."""
    found = procedures_seen(access).annotate(
        attempt_count=Count("versions__attempts", distinct=True), last_published=Max("versions__published_at")
    )
    if text:
        found = found.filter(title__icontains=text)
    if state == "draft":
        found = found.filter(draft__isnull=False, retired_at=None)
    elif state != "all":
        found = found.filter(retired_at__isnull=state != "retired")
    versions = ProcedureVersion.objects.order_by("-number").annotate(attempt_count=Count("attempts"))
    return (
        found.order_by(*SORTS.get(sort, SORTS["title"]))
        .select_related("draft", "draft__updated_by")
        .prefetch_related(Prefetch("versions", versions.defer("content"), to_attr="seen_versions"))
    )


def versions_of(procedure: Procedure) -> QuerySet[ProcedureVersion]:
    """Versions, newest first, with ``attempt_count`` and who published."""
    return (
        procedure.versions.order_by("-number")
        .select_related("published_by")
        .annotate(
            attempt_count=Count("attempts", distinct=True),
            open_count=Count("attempts", filter=~Q(attempts__state="sealed"), distinct=True),
        )
    )


def draft_of(procedure: Procedure) -> ProcedureDraft | None:
    """The draft, or None."""
    return ProcedureDraft.objects.filter(procedure=procedure).select_related("updated_by").first()


def content_of(holder: ProcedureDraft | ProcedureVersion) -> Content:
    """The document a draft or version holds."""
    return cast(Content, holder.content)


def newest_content(procedure: Procedure) -> Content | None:
    """What is being written, else what was published last."""
    draft = draft_of(procedure)
    if draft is not None:
        return content_of(draft)
    version = procedure.versions.order_by("-number").first()
    return None if version is None else content_of(version)


def case_answers(procedure: Procedure, asked: set[str]) -> set[str]:
    """The ids answered by the case in use that answers most of what is asked; an attempt is given one case.

    Cases belong to the room above, which reads this one; here only their rows are looked at.
    """
    best: set[str] = set()
    for document in procedure.case_templates.filter(retired_at=None).values_list("content", flat=True):
        answered = {str(check.get("id")) for check in document.get("checks", [])}
        if len(answered & asked) > len(best & asked):
            best = answered
    return best


def findings_of(procedure: Procedure, content: Content) -> list[Finding]:
    """Every reason not to publish this content now."""
    stated = content["rule"].get("stated", []) if isinstance(content.get("rule"), dict) else []
    asked = {str(entry.get("id")) for entry in stated if isinstance(entry, dict)}
    return refusals(content, case_checks=case_answers(procedure, asked))


def changes_since(procedure: Procedure, revision: int) -> list[ColleagueChange]:
    """The saves after a revision of the draft, oldest first, as the audit trail has them."""
    entries = entries_about(procedure).filter(act=SAVED).order_by("-id")[:50]
    return [
        ColleagueChange(str(entry.by), entry.at, tuple(entry.detail.get("changed", [])))
        for entry in reversed(entries)
        if int(entry.detail.get("revision", 0)) > revision
    ]


def trail_of(procedure: Procedure) -> list[dict[str, Any]]:
    """What happened to a procedure, newest first: {by, at, act, detail}; single saves of drafts are left out."""
    entries = entries_about(procedure).exclude(act=SAVED).order_by("-id")[:30]
    return [{"by": entry.by, "at": entry.at, "act": entry.act, "detail": entry.detail} for entry in entries]

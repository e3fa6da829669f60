"""The list of procedures, one procedure, its versions, and taking it out of use."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from checkoffs.people.permissions import Act, access_of, requires
from checkoffs.procedures import actions, queries
from checkoffs.procedures.errors import ConflictError, ProcedureError, PublishRefusedError
from checkoffs.procedures.forms.overview import ProcedureFilter
from checkoffs.procedures.layout import places_of, sections_of, sentences_of
from checkoffs.procedures.models import Procedure

PAGE = 40
form_page = require_http_methods(["GET", "HEAD", "POST"])


def readable(request: HttpRequest, procedure: uuid.UUID) -> Procedure:
    """A procedure this person may read, else 404."""
    return get_object_or_404(queries.procedures_seen(access_of(request)), pk=procedure)


def writable(request: HttpRequest, procedure: uuid.UUID) -> Procedure:
    """A procedure this person may write, else 404; 403 where it may be read only."""
    found = readable(request, procedure)
    if not queries.may_write(access_of(request), found.program):
        raise PermissionDenied("Procedures of this program are written by its instructors.")
    return found


@requires(Act.READ_PROCEDURES)
@require_safe
def procedure_list(request: HttpRequest) -> HttpResponse:
    """Procedures of the program, filtered, sorted, in pages; the state is in the address."""
    access = access_of(request)
    filters = ProcedureFilter(request.GET or None)
    data = filters.cleaned_data if filters.is_bound and filters.is_valid() else {}
    found = queries.procedure_list(
        access, text=data.get("text", ""), state=data.get("state") or "in_use", sort=request.GET.get("sort", "")
    )
    context = {
        "filters": filters,
        "filtered": any(value for key, value in request.GET.items() if key not in {"sort", "page"}),
        "page": Paginator(found, PAGE).get_page(request.GET.get("page")),
        "heads": _heads(request),
        "writes": access.may(Act.WRITE_PROCEDURES),
        "several": access.programs(Act.READ_PROCEDURES).count() > 1,
    }
    return render(request, "procedures/list.html", context)


def _heads(request: HttpRequest) -> dict[str, dict[str, str]]:
    now = request.GET.get("sort") or "title"
    heads = {}
    for key, label in (("title", "Title"), ("published", "Published last"), ("used", "Attempts")):
        query = request.GET.copy()
        query.pop("page", None)
        query["sort"] = f"-{key}" if now == key else key
        order = {key: "ascending", f"-{key}": "descending"}.get(now, "")
        heads[key] = {"label": label, "query": query.urlencode(), "order": order}
    return heads


@requires(Act.READ_PROCEDURES)
@require_safe
def procedure_page(request: HttpRequest, procedure: uuid.UUID) -> HttpResponse:
    """One procedure: draft with what stands against publishing it, versions, cases, what happened."""
    found = readable(request, procedure)
    access, draft = access_of(request), queries.draft_of(found)
    content = queries.content_of(draft) if draft else None
    context: dict[str, Any] = {
        "procedure": found,
        "draft": draft,
        "findings": places_of(content, queries.findings_of(found, content)) if content else [],
        "versions": list(queries.versions_of(found)),
        "cases": found.case_templates.select_related("updated_by").order_by("retired_at", "title"),
        "writes": queries.may_write(access, found.program),
        "writes_cases": access.may(Act.WRITE_CASES, program=found.program),
        "trail": queries.trail_of(found),
    }
    return render(request, "procedures/procedure.html", context)


@requires(Act.READ_PROCEDURES)
@require_safe
def version_page(request: HttpRequest, procedure: uuid.UUID, number: int) -> HttpResponse:
    """A published version as the evaluator sees it, with its rule in sentences."""
    found = readable(request, procedure)
    version = get_object_or_404(queries.versions_of(found), number=number)
    return _shown(request, found, queries.content_of(version), {"version": version})


@requires(Act.READ_PROCEDURES)
@require_safe
def draft_page(request: HttpRequest, procedure: uuid.UUID) -> HttpResponse:
    """The draft as the evaluator would see it."""
    found = readable(request, procedure)
    draft = queries.draft_of(found)
    if draft is None:
        raise Http404("no draft")
    return _shown(request, found, queries.content_of(draft), {"draft": draft})


def _shown(request: HttpRequest, procedure: Procedure, content: Any, more: dict[str, Any]) -> HttpResponse:
    context = {
        "procedure": procedure,
        "content": content,
        "sections": sections_of(content),
        "sentences": sentences_of(content),
        "writes": queries.may_write(access_of(request), procedure.program),
    }
    return render(request, "procedures/version.html", context | more)


@requires(Act.WRITE_PROCEDURES)
@form_page
def publish_page(request: HttpRequest, procedure: uuid.UUID) -> HttpResponse:
    """Publish the draft, or read why not."""
    found = writable(request, procedure)
    draft = queries.draft_of(found)
    if draft is None:
        messages.info(request, "There is no draft to publish.")
        return redirect("procedures:procedure", procedure=found.pk)
    content = queries.content_of(draft)
    context = {"procedure": found, "draft": draft, "content": content, "sentences": sentences_of(content)}
    context["next"] = found.versions.count() + 1
    findings = queries.findings_of(found, content)
    status = 200
    if request.method == "POST":
        try:
            version = actions.publish(by=access_of(request).person, procedure=found, revision=_revision(request))
        except PublishRefusedError as error:
            findings, status = error.findings, 422
        except ConflictError as error:
            context["conflict"], status = error, 409
        except ProcedureError as error:
            messages.error(request, error.message)
            return redirect("procedures:procedure", procedure=found.pk)
        else:
            messages.success(request, f"Version {version.number} is published. New attempts are scored with it.")
            return redirect("procedures:procedure", procedure=found.pk)
    context["findings"] = places_of(content, findings)
    return render(request, "procedures/publish.html", context, status=status)


def _revision(request: HttpRequest) -> int:
    text = request.POST.get("revision", "")
    return int(text) if text.isdecimal() and len(text) < 9 else 0


def _confirmed(
    request: HttpRequest, procedure: uuid.UUID, act: Callable[[Procedure], None], said: str, words: dict[str, Any]
) -> HttpResponse:
    found = writable(request, procedure)
    if request.method == "POST":
        try:
            act(found)
            messages.success(request, said)
        except ProcedureError as error:
            messages.error(request, error.message)
        return redirect("procedures:procedure", procedure=found.pk)
    context = {"procedure": found, "draft": queries.draft_of(found), **words}
    return render(request, "procedures/confirm.html", context)


@requires(Act.WRITE_PROCEDURES)
@form_page
def retire_page(request: HttpRequest, procedure: uuid.UUID) -> HttpResponse:
    """Take a procedure out of use, or bring it back; asks first."""
    found, by = writable(request, procedure), access_of(request).person
    if found.retired_at is None:
        words = {
            "title": "Take it out of use",
            "text": "No new attempts are opened with it. Versions, attempts and records stay, and it can come back.",
            "verb": "Take out of use",
        }
        act: Callable[[Procedure], None] = lambda held: actions.retire(by=by, procedure=held)  # noqa: E731
        return _confirmed(request, procedure, act, "The procedure is out of use.", words)
    words = {"title": "Bring it back", "text": "It can be scored and written again.", "verb": "Bring back"}
    act = lambda held: actions.bring_back(by=by, procedure=held)  # noqa: E731
    return _confirmed(request, procedure, act, "The procedure is in use again.", words)


@requires(Act.WRITE_PROCEDURES)
@form_page
def discard_page(request: HttpRequest, procedure: uuid.UUID) -> HttpResponse:
    """Throw the draft away; asks first."""
    by, revision = access_of(request).person, _revision(request)
    words = {
        "title": "Throw the draft away",
        "text": "Every change since the newest version is lost. The versions stay.",
        "verb": "Throw the draft away",
        "danger": True,
    }

    def act(held: Procedure) -> None:
        actions.discard_draft(by=by, procedure=held, revision=revision)

    return _confirmed(request, procedure, act, "The draft is thrown away.", words)

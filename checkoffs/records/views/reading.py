"""Pages of records: the list, one record with its chain and its PDF, amending, voiding."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_http_methods, require_safe

from checkoffs.people.permissions import Access, Act, requires
from checkoffs.records import actions, queries
from checkoffs.records.canonical import grouped
from checkoffs.records.errors import RecordError
from checkoffs.records.forms import AmendForm, FilterForm, VoidForm
from checkoffs.records.models import RecordPdf
from checkoffs.records.paper import paper, ribbons

PAGE = 25


def _access(request: HttpRequest) -> Access:
    access: Access = request.access  # type: ignore[attr-defined]
    return access


@require_safe
@requires(Act.OWN_RESULTS, Act.SEE_RESULTS, Act.SCORE)
def records(request: HttpRequest) -> HttpResponse:
    """The standing record of each attempt this person may see, newest first."""
    access = _access(request)
    cohorts, procedures = queries.choices_for(access)
    form = FilterForm(request.GET, cohorts=cohorts, procedures=procedures)
    wanted = form.cleaned_data if form.is_valid() else {}
    rows = queries.filtered(queries.records_seen_by(access), wanted)
    page = Paginator(rows, PAGE).get_page(request.GET.get("page"))
    context = {"page": page, "form": form, "staff": access.may(Act.SEE_RESULTS) or access.may(Act.SCORE)}
    return render(request, "records/list.html", context | {"filtered": any(wanted.values())})


@require_safe
def record(request: HttpRequest, code: str) -> HttpResponse:
    """One sealed document on screen, with all documents of the same attempt and the PDF."""
    access = _access(request)
    leaf = get_object_or_404(queries.leaves_seen_by(access).select_related("content"), code=code)
    snapshot = queries.snapshot_of(leaf)
    chain = queries.chain_of(leaf.attempt)
    context: dict[str, Any] = {"leaf": leaf, "chain": chain, "standing": chain[-1], "digest": grouped(leaf.digest)}
    if snapshot is not None:
        context["paper"] = paper(snapshot, leaf.digest)
        context["ribbons"] = ribbons(snapshot, width=720, for_paper=False)
        context["has_pdf"] = RecordPdf.objects.filter(leaf=leaf).exists()
    stands = chain[-1].pk == leaf.pk and snapshot is not None
    for name, act in (("may_amend", Act.AMEND), ("may_void", Act.VOID)):
        context[name] = stands and queries.amendable_by(access, act).filter(pk=leaf.pk).exists()
    return render(request, "records/record.html", context)


@require_safe
def pdf(request: HttpRequest, code: str) -> HttpResponse:
    """The stored PDF, byte for byte; 202 while it is being set."""
    leaf = get_object_or_404(queries.leaves_seen_by(_access(request)), code=code)
    digest = RecordPdf.objects.filter(leaf=leaf).values_list("digest", flat=True).first()
    if digest is None:
        return HttpResponse(
            "The PDF is being set.", status=202, content_type="text/plain", headers={"Retry-After": "2"}
        )
    etag = f'"{digest}"'
    # The bytes never change; asked again all the same, because tablets and lab machines are shared.
    kept = {"ETag": etag, "Cache-Control": "private, no-cache"}
    unchanged = get_conditional_response(request, etag=etag)
    if unchanged is not None:
        return unchanged
    data = RecordPdf.objects.values_list("data", flat=True).get(leaf=leaf)
    how = "attachment" if "download" in request.GET else "inline"
    named = {"Content-Disposition": f'{how}; filename="{leaf.code}.pdf"'}
    return HttpResponse(bytes(data), content_type="application/pdf", headers=kept | named)


@require_http_methods(["GET", "HEAD", "POST"])
@requires(Act.AMEND)
def amend(request: HttpRequest, code: str) -> HttpResponse:
    """Put an amendment beside a record."""
    leaf = get_object_or_404(queries.amendable_by(_access(request), Act.AMEND), code=code)
    form = AmendForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        data = form.cleaned_data
        try:
            made = actions.amend(by=_access(request).person, leaf=leaf, reason=data["reason"], changes=data)
        except RecordError as error:
            form.add_error(error.field if error.field in form.fields else None, error.message)
        else:
            messages.success(request, f"Amendment {made.code} stands beside {leaf.code}.")
            return redirect("records:record", code=made.code)
    return render(request, "records/amend.html", {"leaf": leaf, "form": form})


@require_http_methods(["GET", "HEAD", "POST"])
@requires(Act.VOID)
def void(request: HttpRequest, code: str) -> HttpResponse:
    """Say that a record does not count."""
    leaf = get_object_or_404(queries.amendable_by(_access(request), Act.VOID), code=code)
    form = VoidForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            made = actions.void(by=_access(request).person, leaf=leaf, reason=form.cleaned_data["reason"])
        except RecordError as error:
            form.add_error(error.field if error.field in form.fields else None, error.message)
        else:
            messages.success(request, f"{leaf.code} does not count any more; {made.code} says why.")
            return redirect("records:record", code=made.code)
    return render(request, "records/void.html", {"leaf": leaf, "form": form})

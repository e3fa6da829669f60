"""Pages of the reports room: cohorts, one cohort, one procedure's figures, exports."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from checkoffs.people.models import Cohort
from checkoffs.people.permissions import Act, access_of, requires
from checkoffs.reports import actions, queries
from checkoffs.reports.errors import ReportError
from checkoffs.reports.exporting import KINDS
from checkoffs.reports.forms import CohortFilter, FiguresFilter
from checkoffs.reports.matrix import Matrix, matrix
from checkoffs.reports.models import Export
from checkoffs.reports.statistics.misses import ALARM_ABOVE
from checkoffs.reports.whiskers import BESIDE, chart

PAGE = 25
WORST = 8  # steps beside the table; all of them have their own page


def _cohort(request: HttpRequest, cohort: int, act: Act) -> Cohort:
    return get_object_or_404(access_of(request).cohorts(act), pk=cohort)


@requires(Act.SEE_RESULTS)
@require_safe
def cohort_list(request: HttpRequest) -> HttpResponse:
    """Cohorts whose results this person may see."""
    page = Paginator(queries.cohorts_seen(access_of(request)), PAGE).get_page(request.GET.get("page"))
    return render(request, "reports/cohort_list.html", {"page": page})


@requires(Act.SEE_RESULTS)
@require_safe
def cohort(request: HttpRequest, cohort: int) -> HttpResponse:
    """Who is competent in what, since when, seen by whom; what is outstanding."""
    actions.catch_up()
    found = _cohort(request, cohort, Act.SEE_RESULTS)
    form = CohortFilter(request.GET)
    wanted = form.cleaned_data if form.is_valid() else {}
    shown = matrix(
        found, text=wanted.get("q", ""), state=wanted.get("state", ""), former=wanted.get("people") == "former"
    )
    context = {"cohort": found, "matrix": shown, "form": form, "filtered": any(wanted.values())}
    context |= queries.outstanding_tasks(found) | {"unbooked": shown.unbooked}
    context |= _chosen(request, shown) | {"counts": shown.counts(), "as_table": request.GET.get("as") == "table"}
    context["may_export"] = access_of(request).may(Act.EXPORT, cohort=found)
    context["confirms"] = access_of(request).may(Act.CONFIRM_TASKS, cohort=found)
    context["moderates"] = access_of(request).may(Act.MODERATE, cohort=found)
    return render(request, "reports/cohort.html", context)


def _chosen(request: HttpRequest, shown: Matrix) -> dict[str, Any]:
    """The procedure of a narrow page and of the figures beside the table: asked for, else the one with most to do."""
    if not shown.procedures:
        return {"chosen": None}
    asked = [n for n, one in enumerate(shown.procedures) if str(one.pk) == request.GET.get("procedure")]
    busiest = max(range(len(shown.procedures)), key=lambda n: (shown.count("retake", n), -n))
    place = asked[0] if asked else busiest
    procedure = shown.procedures[place]
    figures = queries.figures(shown.cohort, procedure, {})
    worst = sorted(figures.steps, key=lambda one: -(one.rate.share or 0))[:WORST]
    return {
        "chosen": procedure,
        "place": place + 1,
        "before": shown.procedures[place - 1] if place else None,
        "after": shown.procedures[place + 1] if place + 1 < len(shown.procedures) else None,
        "one": [(row, row.cells[place]) for row in shown.rows],
        "one_counts": shown.counts(place),
        "figures": figures,
        "chart": chart([one for one in worst if one.rate.hits], BESIDE),
        "alarm": round(ALARM_ABOVE * 100),
    }


@requires(Act.SEE_RESULTS)
@require_safe
def procedure(request: HttpRequest, cohort: int, procedure: uuid.UUID) -> HttpResponse:
    """Pass rates and step miss rates of one procedure, each with n and interval."""
    actions.catch_up()
    found = _cohort(request, cohort, Act.SEE_RESULTS)
    asked = get_object_or_404(queries.procedures_of(found), pk=procedure)
    form = FiguresFilter(request.GET, versions=queries.versions_used(found, asked))
    figures = queries.figures(found, asked, form.wanted())
    context = {"cohort": found, "figures": figures, "chart": chart(figures.steps), "form": form}
    return render(request, "reports/procedure.html", context | {"alarm": round(ALARM_ABOVE * 100)})


@requires(Act.EXPORT)
@require_http_methods(["GET", "HEAD", "POST"])
def exports(request: HttpRequest, cohort: int) -> HttpResponse:
    """Ask for an export; see how far each is; take it along."""
    found, access = _cohort(request, cohort, Act.EXPORT), access_of(request)
    if request.method == "POST":
        try:
            actions.ask(by=access.person, cohort=found, kind=request.POST.get("kind", ""))
        except ReportError as error:
            messages.error(request, error.message)
        return redirect("reports:exports", cohort=found.pk)
    rows = queries.exports_seen(access).filter(cohort=found)
    page = Paginator(rows, PAGE).get_page(request.GET.get("page"))
    lines = [_line(export) for export in page.object_list]
    context = {"cohort": found, "page": page, "lines": lines, "kinds": KINDS.items(), "keeps": queries.KEPT.days}
    return render(request, "reports/exports.html", context)


def _line(export: Export) -> dict[str, Any]:
    state = "stalled" if queries.stalled(export) else export.state
    return {"export": export, "kind": KINDS[export.kind], "state": state, "words": WORDS[state]}


WORDS = {
    "waiting": "waits for its turn",
    "running": "being made",
    "ready": "ready",
    "failed": "not made",
    "stalled": "stopped without an end; ask again",
}


@requires(Act.EXPORT)
@require_safe
def export_state(request: HttpRequest, export: uuid.UUID) -> JsonResponse:
    """How far an export is, for the page that waits."""
    found = get_object_or_404(queries.exports_seen(access_of(request)), pk=export)
    state = "stalled" if queries.stalled(found) else found.state
    return JsonResponse(
        {"state": state, "words": WORDS[state], "done": found.done, "total": found.total, "problem": found.problem}
    )


@requires(Act.EXPORT)
@require_safe
def export_file(request: HttpRequest, export: uuid.UUID) -> HttpResponse:
    """The file itself."""
    access = access_of(request)
    found = get_object_or_404(queries.exports_seen(access), pk=export)
    try:
        data = actions.take(by=access.person, export=found)
    except ReportError as error:
        raise Http404(error.message) from error
    named = {"Content-Disposition": f'attachment; filename="{found.filename}"'}
    return HttpResponse(data, content_type=found.content_type, headers=named)

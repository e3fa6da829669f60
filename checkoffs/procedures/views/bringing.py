"""A new procedure: paste or choose a list, correct what was understood, save it as a draft."""

from __future__ import annotations

from secrets import token_hex
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from checkoffs.people.models import Program
from checkoffs.people.permissions import Act, access_of, requires
from checkoffs.procedures import actions
from checkoffs.procedures.content import Content, empty_content, from_reading
from checkoffs.procedures.content_shape import LONGEST_TITLE
from checkoffs.procedures.editing import add_section, add_step
from checkoffs.procedures.errors import ContentError, ProcedureError
from checkoffs.procedures.forms.overview import BringInForm
from checkoffs.procedures.layout import shape_path
from checkoffs.procedures.proposal import KINDS, MOST_ROWS, Row, counts, reading_of, rows_of, settled
from checkoffs.procedures.reading import read
from checkoffs.procedures.views.overview import form_page


def fresh_id() -> str:
    """An identifier for a step or section that no other has."""
    return f"s{token_hex(5)}"


@requires(Act.WRITE_PROCEDURES)
@form_page
def new_page(request: HttpRequest) -> HttpResponse:
    """Bring a list in: paste (GET), see what was understood (POST read), correct (POST again), save (POST save)."""
    access = access_of(request)
    if request.POST.get("do") in ("again", "save"):
        return _corrected(request)
    form = BringInForm(request.POST or None, request.FILES or None, access=access)
    if not form.is_valid():
        return render(request, "procedures/new.html", {"form": form}, status=422 if form.is_bound else 200)
    data = form.cleaned_data
    if request.POST.get("do") == "empty":
        return _create(request, data["program"], _blank(data["title"]), {})
    source = data["text"]
    reading = read(source)
    rows = rows_of(reading, source)
    if len(rows) > MOST_ROWS:
        form.add_error("text", f"The list has {len(rows)} lines; up to {MOST_ROWS} are taken in at once.")
        return render(request, "procedures/new.html", {"form": form}, status=422)
    title = data["title"] or reading.title
    return _preview(request, {"program": data["program"], "source": source, "title": title, "rows": rows})


def _corrected(request: HttpRequest) -> HttpResponse:
    programs = access_of(request).programs(Act.WRITE_PROCEDURES)
    program = programs.filter(pk=_number(request.POST.get("program", "")) or 0).first() or programs.first()
    rows = _rows(request)
    context: dict[str, Any] = {
        "program": program,
        "source": request.POST.get("source", ""),
        "title": request.POST.get("title", "").strip()[:LONGEST_TITLE],
        "rows": rows if request.POST.get("do") == "save" else settled(rows),
    }
    if request.POST.get("do") == "again" or program is None:
        return _preview(request, context)
    content = from_reading(reading_of(context["title"], rows), fresh_id)
    return _create(request, program, content, context)


def _create(request: HttpRequest, program: Program, content: Content, context: dict[str, Any]) -> HttpResponse:
    try:
        procedure = actions.create_procedure(by=access_of(request).person, program=program, content=content)
    except ContentError as error:
        problems = [(shape_path(p.path, content), p) for p in error.problems[:8]]
        return _preview(request, context | {"problems": problems}, status=422)
    except ProcedureError as error:
        return _preview(request, context | {"no_title": error.message}, status=422)
    left_out = sum(row.kind == "out" for row in context.get("rows", []))
    kept = f" {left_out} lines were left out, as you chose." if left_out else ""
    messages.success(request, f"The draft is saved.{kept}")
    return redirect("procedures:edit", procedure=procedure.pk)


def _preview(request: HttpRequest, context: dict[str, Any], status: int = 200) -> HttpResponse:
    rows: list[Row] = context["rows"]
    lines = context["source"].splitlines()
    unread = {row.line for row in rows if row.unread and row.line}
    shown = [{"number": n, "text": line, "unread": n in unread} for n, line in enumerate(lines, 1)]
    more = {"kinds": KINDS.items(), "counts": counts(rows), "lines": shown, "numbered": _numbered(rows)}
    return render(request, "procedures/preview.html", context | more, status=status)


def _numbered(rows: list[Row]) -> list[tuple[int | None, Row]]:
    """Each row with the number its step will have."""
    number, numbered = 0, []
    for row in rows:
        number += row.kind == "step"
        numbered.append((number if row.kind == "step" else None, row))
    return numbered


def _rows(request: HttpRequest) -> list[Row]:
    post = request.POST
    critical, unread = set(post.getlist("critical")), set(post.getlist("unread"))
    lines = post.getlist("line")
    pairs = list(zip(post.getlist("kind"), post.getlist("text"), strict=False))[:MOST_ROWS]
    return [
        Row(
            kind if kind in KINDS else "step",
            text,
            str(at) in critical,
            _number(lines[at]) if at < len(lines) else None,
            str(at) in unread,
        )
        for at, (kind, text) in enumerate(pairs)
    ]


def _number(text: str) -> int | None:
    return int(text) if text.isdecimal() and len(text) < 10 else None


def _blank(title: str) -> Content:
    section = fresh_id()
    return add_step(add_section(empty_content(title), section, "Steps"), section, fresh_id())

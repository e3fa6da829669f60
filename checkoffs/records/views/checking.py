"""Pages for anybody who holds a paper: whether it is genuine and current, and the signed tree head."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from checkoffs.people.permissions import Access
from checkoffs.records import heads, queries
from checkoffs.records.canonical import grouped, read_code
from checkoffs.records.models import RecordLeaf
from checkoffs.records.tries import CODES_ASKED


@login_not_required
@require_safe
def verify(request: HttpRequest) -> HttpResponse:
    """Whether a code on a paper is genuine and current; says nothing of the student to anybody."""
    typed = request.GET.get("code", "").strip()
    if not typed:
        return render(request, "records/verify.html")
    who = request.META.get("REMOTE_ADDR", "")
    if CODES_ASKED.spent(who):
        return render(request, "records/verify.html", {"typed": typed, "rest": True}, status=429)
    CODES_ASKED.count(who)
    code = read_code(typed)
    leaf = RecordLeaf.objects.filter(code=code).first() if code else None
    context: dict[str, Any] = {"typed": typed, "asked": True, "leaf": leaf}
    if leaf is not None:
        context |= {"standing": queries.standing_of(leaf.attempt), "digest": grouped(leaf.digest)}
        context["mine"] = _may_read(request, leaf)
    return render(request, "records/verify.html", context)


def _may_read(request: HttpRequest, leaf: RecordLeaf) -> bool:
    if not request.user.is_authenticated:
        return False
    access: Access = request.access  # type: ignore[attr-defined]
    return queries.leaves_seen_by(access).filter(pk=leaf.pk).exists()


@login_not_required
@require_safe
def head(request: HttpRequest) -> HttpResponse:
    """The newest signed tree head and the public keys, as a file; ``?from=SIZE`` adds the consistency proof."""
    since = request.GET.get("from", "")
    body = heads.handed_out(int(since) if since.isdecimal() and len(since) < 16 else None)
    named = {"Content-Disposition": 'attachment; filename="stepwitness-head.json"', "Cache-Control": "no-store"}
    return JsonResponse(body, headers=named, json_dumps_params={"indent": 1})

"""Home, health and the error pages."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.db import connection
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from checkoffs.people.permissions import Act, access_of
from checkoffs.site.frame import first_page

MARKS = ["performed", "self_corrected", "prompted", "said", "not_performed", "not_observed", "not_applicable"]


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """Lead to the first page this person works with; without any role say who can help."""
    first = first_page(access_of(request))
    return redirect(first) if first else render(request, "site/no_role.html")


@login_not_required
@require_safe
def help_page(request: HttpRequest) -> HttpResponse:
    """One page of help, reached from the same place everywhere."""
    access = access_of(request)
    acts = {str(act.name) for act in Act if access.may(act)}
    return render(request, "site/help.html", {"memberships": access.memberships, "acts": acts, "marks": MARKS})


@login_not_required
@require_safe
def health(request: HttpRequest) -> JsonResponse:
    """Whether the server answers and reaches its database."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
        cursor.fetchone()
    return JsonResponse({"status": "ok"})


@login_not_required
def csrf_failed(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form came with an old token: say that nothing was saved and how to go on; JSON for the tablet."""
    if request.headers.get("Accept", "").startswith("application/json"):
        return JsonResponse(
            {"code": "csrf", "message": "The page's token is old. Reload; nothing is lost."}, status=403
        )
    return render(
        request,
        "csrf_failed.html",
        {"back": request.META.get("HTTP_REFERER") or reverse("site:home")},
        status=403,
    )


def bad_request(request: HttpRequest, exception: Any = None) -> HttpResponse:
    """400."""
    return render(request, "400.html", status=400)


def forbidden(request: HttpRequest, exception: Any = None) -> HttpResponse:
    """403, with the right that is missing."""
    return render(request, "403.html", {"why": str(exception or "")}, status=403)


def not_found(request: HttpRequest, exception: Any = None) -> HttpResponse:
    """404; says nothing of what may exist for others."""
    return render(request, "404.html", status=404)


def server_error(request: HttpRequest) -> HttpResponse:
    """500."""
    return render(request, "500.html", status=500)

"""Signing a sheet from the tablet, and moderating; both end in a seal when nobody is needed any more."""

from __future__ import annotations

import json
from typing import Any

from allauth.account.internal.flows.reauthentication import did_recently_reauthenticate
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from checkoffs.attempts import moderation
from checkoffs.attempts.errors import AttemptError
from checkoffs.attempts.models import Sheet, SheetKind
from checkoffs.people.models import User
from checkoffs.people.permissions import Access
from checkoffs.records import actions, moderating, queries
from checkoffs.records.errors import RecordError
from checkoffs.records.forms import ModeratorForm
from checkoffs.records.tries import WRONG_PASSWORDS

SIGNING = {"password", "shown", "statement", "version"}
WRONG = "The password is not right."
REST = "Five wrong passwords. Wait five minutes, or let a colleague help."


def _problem(status: int, code: str, message: str, **more: Any) -> JsonResponse:
    return JsonResponse({"code": code, "message": message, **more}, status=status)


def prove(request: HttpRequest, user: User, password: str) -> tuple[str | None, str]:
    """How the person proved who they are, or None and why not: ``too_many``, ``wrong_password``, ``reauthenticate``.

    Somebody who signs in through the campus has no password here and must have signed in there a moment ago.
    """
    if not user.has_usable_password():
        return ("sign_on", "") if did_recently_reauthenticate(request) else (None, "reauthenticate")
    if WRONG_PASSWORDS.spent(user.pk):
        return None, "too_many"
    if not user.check_password(password):
        WRONG_PASSWORDS.count(user.pk)
        return None, "wrong_password"
    WRONG_PASSWORDS.forget(user.pk)
    return "password", ""


REFUSALS = {
    "too_many": (429, REST),
    "wrong_password": (403, WRONG),
    "reauthenticate": (403, "Sign in again through the campus, then sign the sheet."),
}


@require_POST
def sign(request: HttpRequest, sheet_id: Any) -> HttpResponse:
    """Sign one's own sheet (JSON); seals the attempt when that was the last signature and nothing is open."""
    sheets = Sheet.objects.exclude(kind=SheetKind.MODERATION).select_related("attempt", "evaluator")
    sheet = get_object_or_404(sheets, pk=sheet_id, evaluator=request.user)
    body = _body(request)
    if body is None:
        return _problem(400, "malformed", "Send a JSON object with password, shown, statement and version.")
    if sheet.signed_at is None:
        how, refused = prove(request, sheet.evaluator, body["password"])
        if how is None:
            return _problem(REFUSALS[refused][0], refused, REFUSALS[refused][1])
        if body["version"] != sheet.stored:
            return _problem(409, "behind", "The server has another state of this sheet.", version=sheet.stored)
        if left := moderating.still_to_settle(sheet):
            return _problem(409, "settle", "Something is still to be settled.", settle=left)
        try:
            actions.sign(by=sheet.evaluator, sheet=sheet, shown=body["shown"], statement=body["statement"], how=how)
        except AttemptError as error:
            return _problem(409, error.code, error.message, field=error.field)
    return JsonResponse(_where(sheet))


def _body(request: HttpRequest) -> dict[str, Any] | None:
    try:
        body = json.loads(request.body)
    except ValueError:
        return None
    if not isinstance(body, dict) or set(body) != SIGNING or not isinstance(body["version"], int):
        return None
    if any(not isinstance(body[name], str) for name in SIGNING - {"version"}):
        return None
    return body


def _where(sheet: Sheet) -> dict[str, Any]:
    """{"state": "sealed|moderation|waiting", "record": address or None, "who"}; signing twice answers the same."""
    attempt = sheet.attempt
    attempt.refresh_from_db()
    if attempt.sealed_at is not None:
        leaf = queries.standing_of(attempt)
        address = reverse("records:record", kwargs={"code": leaf.code}) if leaf else None
        return {"state": "sealed", "record": address, "who": ""}
    if attempt.state == "moderation":
        return {"state": "moderation", "record": None, "who": moderating.who_moderates(attempt)}
    return {"state": "waiting", "record": None, "who": moderating.who_signs_next(attempt)}


@require_http_methods(["GET", "HEAD", "POST"])
def moderate(request: HttpRequest, attempt_id: Any) -> HttpResponse:
    """Settle, with reasons, what the sheets of an attempt left open; seals it when nothing is open any more."""
    access: Access = request.access  # type: ignore[attr-defined]
    attempt = get_object_or_404(moderating.waiting_for(access), pk=attempt_id)
    page = moderating.page_of(attempt, access)
    if request.method == "POST" and request.POST.get("do") == "assign":
        return _assign(request, access, page)
    if request.method == "POST" and page["may_settle"]:
        return _settle(request, page)
    return _moderation(request, page)


def _moderation(request: HttpRequest, page: dict[str, Any], status: int = 200) -> HttpResponse:
    if page["may_assign"] and "assign" not in page:
        page["assign"] = ModeratorForm(attempt=page["attempt"])
    return render(request, "records/moderate.html", page, status=status)


def _assign(request: HttpRequest, access: Access, page: dict[str, Any]) -> HttpResponse:
    form = ModeratorForm(request.POST, attempt=page["attempt"])
    if page["may_assign"] and form.is_valid():
        chosen = form.cleaned_data["moderator"]
        try:
            moderation.open_moderation(by=access.person, attempt=page["attempt"], moderator=chosen)
        except AttemptError as error:
            form.add_error(None, error.message)
        else:
            messages.success(request, f"{chosen} moderates this attempt.")
            return redirect("records:moderate", attempt_id=page["attempt"].pk)
    return _moderation(request, page | {"assign": form}, 400)


def _settle(request: HttpRequest, page: dict[str, Any]) -> HttpResponse:
    attempt, problems = page["attempt"], []
    settlements = []
    for item in page["items"]:
        verdict = request.POST.get(f"verdict-{item['key']}", "")
        item["chosen"], item["reason"] = verdict, request.POST.get(f"reason-{item['key']}", "").strip()
        if not verdict:
            continue
        if not item["reason"]:
            item["problem"] = "Give the reason; it is printed on the record."
            problems.append(item["problem"])
        about = {"type": item["type"], "id": item["id"]}
        settlements.append({"about": about, "verdict": verdict, "reason": item["reason"]})
    if not settlements:
        page["problem"] = "Settle at least one thing."
        return _moderation(request, page, 400)
    if problems:
        page["problem"] = "A reason is missing; nothing was saved."
        return _moderation(request, page, 400)
    how, refused = prove(request, page["access"].person, request.POST.get("password", ""))
    if how is None:
        page["problem"] = REFUSALS[refused][1]
        return _moderation(request, page, REFUSALS[refused][0])
    try:
        leaf = actions.moderate(by=page["access"].person, attempt=attempt, settlements=settlements, how=how)
    except (AttemptError, RecordError) as error:
        page["problem"] = error.message
        return _moderation(request, page, 409)
    if leaf is None:
        messages.warning(request, "Kept. Something is still open; it stands below.")
        return redirect("records:moderate", attempt_id=attempt.pk)
    messages.success(request, f"Settled and sealed as {leaf.code}.")
    return redirect("records:record", code=leaf.code)

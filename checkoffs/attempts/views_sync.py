"""What tablets talk to: JSON in, JSON out, every refusal with a code. Also the frame of the tablet page itself."""

from __future__ import annotations

import functools
import json
import uuid
from collections.abc import Callable
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponseBase, JsonResponse
from django.shortcuts import render
from django.views.decorators.csrf import ensure_csrf_cookie
from django.views.decorators.http import require_POST, require_safe

from checkoffs.attempts import actions, sync
from checkoffs.attempts.bundle import bundle_of
from checkoffs.attempts.errors import AttemptError, SyncError
from checkoffs.attempts.models import Sheet
from checkoffs.attempts.queries import sheets_to_show
from checkoffs.people.permissions import Act, access_of

View = Callable[..., HttpResponseBase]
STATUS = {"not_yours": 403}


def for_tablets(view: View) -> View:
    """Say ``sign_in``, ``not_yours`` and ``not_found`` in JSON to whoever accepts JSON; to browsers as ever."""

    @functools.wraps(view)
    def inside(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        json_wanted = request.headers.get("Accept", "").startswith("application/json")
        if not request.user.is_authenticated:
            answer = _refusal(401, "sign_in", "Sign in again; nothing is lost.")
            return answer if json_wanted else redirect_to_login(request.get_full_path())
        try:
            return view(request, *args, **kwargs)
        except SyncError as error:
            return JsonResponse(error.as_dict(), status=error.status)
        except AttemptError as error:
            return JsonResponse(error.as_dict(), status=STATUS.get(error.code, 409))
        except PermissionDenied as error:
            if not json_wanted:
                raise
            return _refusal(403, "not_yours", str(error))
        except Http404:
            if not json_wanted:
                raise
            return _refusal(404, "not_found", "There is no such sheet.")

    return login_not_required(inside)


def own_sheet(request: HttpRequest, pk: uuid.UUID, *, instead: Act | None = None) -> Sheet:
    """This person's own sheet; 403 for another's in a cohort they score in, 404 for all else.

    ``instead``: an act that, granted for the cohort, does as well.
    """
    sheet = sheets_to_show(access_of(request)).filter(pk=pk).first()
    if sheet is None:
        raise Http404
    if sheet.evaluator_id != request.user.pk:
        if instead and access_of(request).may(instead, cohort=sheet.attempt.cohort):
            return sheet
        if access_of(request).may(Act.SCORE, cohort=sheet.attempt.cohort):
            raise PermissionDenied("This sheet is another evaluator's.")
        raise Http404
    return sheet


@require_safe
@ensure_csrf_cookie
def sheet_page(request: HttpRequest, sheet: uuid.UUID) -> HttpResponseBase:
    """The tablet page: a frame without anybody's data, which script fills from the bundle."""
    return render(request, "attempts/sheet.html", {"sheet": own_sheet(request, sheet)})


@for_tablets
@require_safe
@ensure_csrf_cookie
def bundle(request: HttpRequest, sheet: uuid.UUID) -> HttpResponseBase:
    """Everything the tablet needs."""
    return JsonResponse(bundle_of(own_sheet(request, sheet), access_of(request)))


@for_tablets
@require_POST
def events(request: HttpRequest, sheet: uuid.UUID) -> HttpResponseBase:
    """Keep a batch of events."""
    held = own_sheet(request, sheet)
    batch = sync.read_batch(_body(request))
    return JsonResponse(sync.store_batch(by=access_of(request).person, sheet=held, batch=batch))


@for_tablets
@require_POST
def take_over(request: HttpRequest, sheet: uuid.UUID) -> HttpResponseBase:
    """Go on with this device: {"device"} in; {"sheet", "device", "from", "version"} out."""
    held = own_sheet(request, sheet)
    device = _device(_body(request))
    before = actions.take_over(by=access_of(request).person, sheet=held, device=device)
    came_from = str(before) if before else None
    return JsonResponse({"sheet": str(held.pk), "device": str(device), "from": came_from, "version": held.stored})


def _body(request: HttpRequest) -> bytes:
    if request.content_type != "application/json":
        raise SyncError(400, "not_json", "Send JSON as application/json.")
    # Asked before reading: the header says how much would come.
    length = str(request.META.get("CONTENT_LENGTH") or "0")
    if not length.isdecimal() or int(length) > sync.MOST_BYTES:
        raise sync.too_large()
    return request.body


def _device(body: bytes) -> uuid.UUID:
    try:
        read = json.loads(body)
        return uuid.UUID(read["device"])
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        raise SyncError(400, "malformed", "Name the device by its UUID.", field="device") from None


def _refusal(status: int, code: str, message: str) -> JsonResponse:
    return JsonResponse({"code": code, "message": message}, status=status)

"""Counting wrong tries by address, so that one-time links cannot be guessed at speed."""

from __future__ import annotations

from django.core.cache import cache
from django.http import HttpRequest

WRONG_TRIES = 20
WITHIN_S = 600


def _key(request: HttpRequest) -> str:
    return f"wrong-links:{request.META.get('REMOTE_ADDR', '')}"


def too_many(request: HttpRequest) -> bool:
    """Whether this address has shown too many links that open nothing."""
    return int(cache.get(_key(request), 0)) >= WRONG_TRIES


def count_wrong(request: HttpRequest) -> None:
    """Count one more; the count is forgotten ten minutes after the first."""
    if not cache.add(_key(request), 1, WITHIN_S):
        cache.incr(_key(request))

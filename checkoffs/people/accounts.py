"""How accounts open: sign-up is closed; campus sign-on works only for people already entered and linked."""

from __future__ import annotations

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from allauth.socialaccount.adapter import DefaultSocialAccountAdapter
from django.http import HttpRequest


class ClosedAccounts(DefaultAccountAdapter):  # type: ignore[misc]
    """Nobody makes their own account; the library's default is open."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Always closed."""
        return False


class KnownPeopleOnly(DefaultSocialAccountAdapter):  # type: ignore[misc]
    """Campus identities (issuer, sub) must have been linked by the person after a one-time link; never by e-mail."""

    def is_open_for_signup(self, request: HttpRequest, sociallogin: Any) -> bool:
        """Always closed."""
        return False

"""How often a password or a code may be tried before a rest is due. The counts live in the cache."""

from __future__ import annotations

import time
from dataclasses import dataclass

from django.core.cache import cache


@dataclass(frozen=True)
class Tries:
    """A limit of ``most`` counted tries of one key within ``seconds``."""

    name: str
    most: int
    seconds: int

    def _key(self, who: object) -> str:
        return f"tries:{self.name}:{who}"

    def _recent(self, who: object) -> list[float]:
        since = time.time() - self.seconds
        return [at for at in cache.get(self._key(who), []) if at > since]

    def spent(self, who: object) -> bool:
        """Whether this person or address has to wait now."""
        return len(self._recent(who)) >= self.most

    def count(self, who: object) -> None:
        """Count one try."""
        cache.set(self._key(who), [*self._recent(who), time.time()][-self.most :], self.seconds)

    def forget(self, who: object) -> None:
        """Start anew, after a right one."""
        cache.delete(self._key(who))


WRONG_PASSWORDS = Tries("signature", most=5, seconds=300)
CODES_ASKED = Tries("verify", most=30, seconds=60)

"""A reader over one JSON object that knows the path it stands at, so that every error can name its field."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

from checkoffs.scoring.errors import ScoringError
from checkoffs.scoring.exact import decimal

_ABSENT: Any = object()


class Reader:
    """Typed access to one JSON object. Each method raises ScoringError(code, dotted path) on a wrong value."""

    def __init__(self, value: Any, at: str) -> None:
        if value is None:
            value = {}
        if not isinstance(value, Mapping):
            raise ScoringError("not_an_object", at or "rule")
        self._value: Mapping[str, Any] = value
        self._at = at

    @property
    def empty(self) -> bool:
        """No keys at all (or null)."""
        return not self._value

    def names(self) -> list[str]:
        """The object's keys in their order."""
        return list(self._value)

    def path(self, key: str) -> str:
        """The dotted path of a key of this object."""
        return f"{self._at}.{key}" if self._at else key

    def child(self, key: str) -> Reader:
        """The object under a key; an empty one when absent or null."""
        return Reader(self._value.get(key), self.path(key))

    def children(self, key: str) -> list[Reader]:
        """The objects of a list; an empty list when absent."""
        items = self._list(key)
        return [Reader(item, f"{self.path(key)}.{i}") for i, item in enumerate(items)]

    def children_by_key(self, key: str) -> dict[str, Reader]:
        """The objects of an object, by their keys."""
        inner = self.child(key)
        return {name: inner.child(name) for name in inner.names()}

    def text(self, key: str, default: Any = _ABSENT) -> str:
        """A string."""
        value: str = self._typed(key, str, "not_a_text", default)
        return value

    def text_or_none(self, key: str) -> str | None:
        """A string, or None when absent or null."""
        return None if self._value.get(key) is None else self.text(key)

    def texts(self, key: str) -> list[str]:
        """A list of strings."""
        items = self._list(key)
        for i, item in enumerate(items):
            if not isinstance(item, str):
                raise ScoringError("not_a_text", f"{self.path(key)}.{i}")
        return list(items)

    def choices(self, key: str, among: Sequence[str]) -> list[str]:
        """A list of strings out of ``among``."""
        items = self.texts(key)
        for i, item in enumerate(items):
            if item not in among:
                raise ScoringError("unknown_value", f"{self.path(key)}.{i}")
        return items

    def choice(self, key: str, among: Sequence[str], default: Any = _ABSENT) -> str:
        """A string out of ``among``."""
        value = self.text(key, default)
        if value not in among:
            raise ScoringError("unknown_value", self.path(key))
        return value

    def flag(self, key: str, default: Any = _ABSENT) -> bool:
        """True or false."""
        value: bool = self._typed(key, bool, "not_a_flag", default)
        return value

    def whole(self, key: str, default: Any = _ABSENT) -> Any:
        """A whole number, zero or more."""
        value = self._typed(key, int, "not_a_whole_number", default)
        if isinstance(value, bool) or (value is not None and value < 0):
            raise ScoringError("not_a_whole_number", self.path(key))
        return value

    def number(self, key: str, default: Any = _ABSENT) -> Fraction:
        """A decimal string, zero or more, as an exact value."""
        value = decimal(self.text(key, default))
        if value is None or value < 0:
            raise ScoringError("not_a_decimal", self.path(key))
        return value

    def number_or_none(self, key: str) -> Fraction | None:
        """A decimal string as an exact value, or None when absent or null."""
        return None if self._value.get(key) is None else self.number(key)

    def _list(self, key: str) -> Sequence[Any]:
        value = self._value.get(key, [])
        if not isinstance(value, list | tuple):
            raise ScoringError("not_a_list", self.path(key))
        return value

    def _typed(self, key: str, kind: type, code: str, default: Any) -> Any:
        value = self._value.get(key)
        if value is None:
            if default is _ABSENT:
                raise ScoringError("missing", self.path(key))
            return default
        if not isinstance(value, kind):
            raise ScoringError(code, self.path(key))
        return value

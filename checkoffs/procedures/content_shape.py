"""The shape of a procedure's content: which fields there are, and what each accepts. Whether it makes sense is
for `checks` to say."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from checkoffs.scoring.rule_parts import MARKS, ON_REACHING, PROMPT_KINDS, SCOPES, SCORE_KINDS

LONGEST_TEXT = 2000
LONGEST_TITLE = 200
MOST_SECTIONS = 40
MOST_STEPS = 200
MOST_RULES = 200
MOST_SECONDS = 24 * 60 * 60
_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,39}")
_DECIMAL = re.compile(r"-?\d{1,9}(?:\.\d{1,9})?")


@dataclass(frozen=True)
class Problem:
    """One place in the document that has no acceptable value: dotted path, what is wrong, what would be accepted."""

    path: str
    message: str
    accepted: str


Check = Callable[[Any, str], Iterable[Problem]]


def _text(most: int, least: int = 0) -> Check:
    accepted = f"text of {least} to {most} characters"

    def check(value: Any, path: str) -> Iterable[Problem]:
        if not isinstance(value, str):
            yield Problem(path, "is not text", accepted)
        elif not least <= len(value.strip()) or len(value) > most:
            yield Problem(path, "is empty" if not value.strip() else "is too long", accepted)

    return check


def _matching(pattern: re.Pattern[str], message: str, accepted: str) -> Check:
    def check(value: Any, path: str) -> Iterable[Problem]:
        if not isinstance(value, str) or not pattern.fullmatch(value):
            yield Problem(path, message, accepted)

    return check


def _flag(value: Any, path: str) -> Iterable[Problem]:
    if not isinstance(value, bool):
        yield Problem(path, "is neither yes nor no", "true or false")


def _whole(value: Any, path: str) -> Iterable[Problem]:
    if isinstance(value, bool) or not isinstance(value, int) or abs(value) > MOST_SECONDS:
        yield Problem(path, "is no whole number in range", f"a whole number up to {MOST_SECONDS}")


def _maybe(check: Check) -> Check:
    def checked(value: Any, path: str) -> Iterable[Problem]:
        if value is not None:
            yield from check(value, path)

    return checked


def _one_of(codes: Iterable[str]) -> Check:
    known = tuple(codes)

    def check(value: Any, path: str) -> Iterable[Problem]:
        if value not in known:
            yield Problem(path, f"{value!r} is not known here", ", ".join(known))

    return check


def _list(inner: Check, most: int) -> Check:
    def check(value: Any, path: str) -> Iterable[Problem]:
        if not isinstance(value, list):
            yield Problem(path, "is no list", "a list")
            return
        if len(value) > most:
            yield Problem(path, f"has {len(value)} entries", f"up to {most} entries")
        for place, entry in enumerate(value):
            yield from inner(entry, f"{path}.{place}")

    return check


def _keyed(key: Check, inner: Check) -> Check:
    def check(value: Any, path: str) -> Iterable[Problem]:
        if not isinstance(value, Mapping):
            yield Problem(path, "is no set of named values", "named values")
            return
        for name, entry in value.items():
            yield from key(name, f"{path}.{name}")
            yield from inner(entry, f"{path}.{name}")

    return check


def _record(required: Mapping[str, Check], optional: Mapping[str, Check]) -> Check:
    fields = {**required, **optional}
    accepted = ", ".join(fields)

    def check(value: Any, path: str) -> Iterable[Problem]:
        if not isinstance(value, Mapping):
            yield Problem(path, "is no record", f"a record of {accepted}")
            return
        start = f"{path}." if path else ""
        for name in required:
            if name not in value:
                yield Problem(f"{start}{name}", "is missing", "a value")
        for name, entry in value.items():
            if name not in fields:
                yield Problem(f"{start}{name}", "is not known here", accepted)
            else:
                yield from fields[name](entry, f"{start}{name}")

    return check


_id = _matching(_ID, "is no identifier", "1 to 40 letters, digits, - or _, starting with a letter or digit")
_decimal = _matching(_DECIMAL, "is no decimal number written as text", 'a decimal as text, such as "80" or "2.5"')
_title, _short, _long, _words = (
    _text(LONGEST_TITLE),
    _text(LONGEST_TITLE),
    _text(LONGEST_TEXT),
    _text(LONGEST_TEXT, 1),
)
_bounds = _record({}, {"at_least_s": _maybe(_whole), "at_most_s": _maybe(_whole)})
_measured = _record({"unit": _text(40, 1)}, {"target": _maybe(_short), "tolerance": _maybe(_decimal)})
_step = _record(
    {"id": _id, "text": _long},
    {
        "cue": _long,
        "why": _long,
        "right": _list(_words, 20),
        "critical": _flag,
        "critical_reason": _long,
        "marks": _maybe(_list(_one_of(MARKS), len(MARKS))),
        "subpoints": _list(_words, 60),
        "optional": _flag,
        "phrases": _list(_words, 40),
        "measured": _maybe(_measured),
        "timed": _maybe(_bounds),
        "points": _decimal,
    },
)
_section = _record({"id": _id, "steps": _list(_step, MOST_STEPS)}, {"title": _title})
_score = _record(
    {"kind": _one_of(SCORE_KINDS)},
    {"cut": _maybe(_decimal), "per_section": _keyed(_id, _decimal), "retake_cap": _maybe(_decimal)},
)
_limit = _record(
    {"id": _id, "scope": _one_of(SCOPES), "limit_s": _whole, "on_reaching": _one_of(ON_REACHING)},
    {"of": _maybe(_id), "scalable": _flag},
)
_pair = _record({"id": _id, "before": _id, "after": _id}, {"critical": _flag})
_gap = _record(
    {"id": _id, "from": _id, "to": _id},
    {"at_least_s": _maybe(_whole), "at_most_s": _maybe(_whole), "critical": _flag},
)
_stated = _record(
    {"id": _id, "label": _text(LONGEST_TITLE, 1)},
    {
        "step": _maybe(_id),
        "critical": _flag,
        "must_be_right": _flag,
        "closes_with": _maybe(_id),
        "grades_rounding": _flag,
        "no_unit": _one_of(("wrong", "accepted")),
    },
)
_mark = _record({"credit": _decimal, "satisfies": _flag}, {})
_prompts = _record({}, {"total": _maybe(_whole), "by_kind": _keyed(_one_of(PROMPT_KINDS), _whole)})
_rule = _record(
    {},
    {
        "critical_all": _flag,
        "automatic_fail": _list(_text(40, 1), 20),
        "mark_scale": _keyed(_one_of(MARKS), _mark),
        "score": _score,
        "limits": _list(_limit, MOST_RULES),
        "pairs": _list(_pair, MOST_RULES),
        "gaps": _list(_gap, MOST_RULES),
        "stated": _list(_stated, 20),
        "prompts": _prompts,
        "identity_required": _flag,
    },
)
_content = _record(
    {"title": _title, "sections": _list(_section, MOST_SECTIONS), "rule": _rule},
    {"summary": _long},
)


def validate(content: Any) -> list[Problem]:
    """Every place where the document's shape is not acceptable, in document order; empty when it is sound."""
    return list(_content(content, ""))

"""Trying a case template out before it is kept: every combination of numbers, or the ends of all sets and a sample,
is really computed. Pure but for the calculators."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import islice, product
from math import prod
from typing import Any

import calculators
from checkoffs.cases import content
from checkoffs.cases.drawing import with_values
from checkoffs.cases.errors import CaseError

EVERY = 200  # up to so many combinations each is computed
SAMPLE = 40
MOST_ERRORS = 6
_NUMBER = re.compile(r"\d[\d,]*(?:\.\d+)?")


@dataclass(frozen=True)
class Trial:
    """combinations: how many there are; tried: how many were computed; errors: each with the numbers it came from;
    cautions: what the calculators warn of, such as a rate no pump takes."""

    combinations: int
    tried: int
    errors: tuple[CaseError, ...]
    cautions: tuple[str, ...]


def trial(document: Mapping[str, Any]) -> Trial:
    """Compute the combinations of a document. A malformed one is not computed: its problems are the errors."""
    if problems := content.problems(document):
        return Trial(0, 0, tuple(problems[:MOST_ERRORS]), ())
    options = content.choices(document)
    errors: dict[tuple[str, str], CaseError] = {}
    cautions: dict[str, None] = {}
    tried = 0
    for values in _combinations(options):
        tried += 1
        for error in _computed(document, values, cautions, whole=tried == 1):
            errors.setdefault((error.code, error.field), error)
    return Trial(prod(map(len, options.values())), tried, tuple(errors.values())[:MOST_ERRORS], tuple(cautions))


def _computed(
    document: Mapping[str, Any], values: Mapping[str, str], cautions: dict[str, None], *, whole: bool
) -> Iterator[CaseError]:
    for index, check in enumerate(document["checks"]):
        given = content.given(document, check, values)
        answer = calculators.solve({"find": check["find"], "given": given, "rounding": check["rounding"]})
        if "error" in answer:
            yield _error(check, index, answer["error"], values)
        elif not Fraction(answer["value"]):
            words = f"{check['label']} rounds to 0{_with(values)}. Choose other numbers or a finer rounding."
            yield CaseError("rounds_to_nothing", f"checks.{index}.rounding", words)
        else:
            cautions.update(dict.fromkeys(f"{check['label']}: {said}" for said in answer["cautions"]))
    if whole:
        try:
            with_values(document, values)  # roundings and tolerances are read here
        except CaseError as error:
            yield error


def _error(check: Mapping[str, Any], index: int, error: Mapping[str, str], values: Mapping[str, str]) -> CaseError:
    held = error["field"] in values
    field = f"fields.{error['field']}" if held else f"checks.{index}.{error['field']}".rstrip(".")
    words = f"{check['label']} cannot be computed{_with(values)}: {error['field']} {error['message']}"
    return CaseError("cannot_compute", field, words)


def _with(values: Mapping[str, str]) -> str:
    return f" with {', '.join(values.values())}" if values else ""


def _combinations(options: Mapping[str, list[str]]) -> Iterator[dict[str, str]]:
    names = list(options)
    if prod(map(len, options.values())) <= EVERY:
        yield from (dict(zip(names, some, strict=True)) for some in product(*options.values()))
        return
    ends = [_ends(values) for values in options.values()]
    yield from (dict(zip(names, some, strict=True)) for some in islice(product(*ends), EVERY))
    source = random.Random(1)  # noqa: S311  a sample, the same each time
    for _ in range(SAMPLE):
        yield {name: source.choice(values) for name, values in options.items()}


def _ends(values: list[str]) -> list[str]:
    """The smallest and the largest of each unit that occurs, by the number written."""
    by_unit: dict[str, list[str]] = {}
    for value in values:
        by_unit.setdefault(_NUMBER.sub("", value).strip(), []).append(value)
    ends = (end for among in by_unit.values() for end in (min(among, key=_size), max(among, key=_size)))
    return list(dict.fromkeys(ends))


def _size(value: str) -> Fraction:
    found = _NUMBER.search(value)
    return Fraction(found.group().replace(",", "")) if found else Fraction(0)

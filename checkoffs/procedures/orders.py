"""What an editor asks for in one word and an id ("up:a1", "remove:a1"), done to a content. Pure.

Orders: ``up down above below join lift sink split place remove out`` of a step, ``section_add section_title
section_up section_down section_remove`` of a section.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from checkoffs.procedures import editing
from checkoffs.procedures.content import Content, NumberedStep, find_step, section_letter
from checkoffs.procedures.editing import Removed


class OrderError(ValueError):
    """An order that cannot be followed; the text says why."""


@dataclass(frozen=True)
class Done:
    """A new content, what was done in words, what left the rule, and the step to show next."""

    content: Content
    said: str
    removed: tuple[Removed, ...] = ()
    step: str | None = None


Order = Callable[[Content, str, Mapping[str, str], Callable[[], str]], Done]


def follow(content: Content, order: str, data: Mapping[str, str], new_id: Callable[[], str]) -> Done:
    """Do what an order says. ``data``: further fields it needs. Raises OrderError."""
    word, _, about = order.partition(":")
    if word not in _ORDERS:
        raise OrderError(f"“{word[:40]}” is not known here.")
    try:
        return _ORDERS[word](content, about, data, new_id)
    except KeyError:
        raise OrderError("The step or section is no longer there.") from None


def _found(content: Content, step_id: str) -> NumberedStep:
    found = find_step(content, step_id)
    if found is None:
        raise KeyError(step_id)
    return found


def _shift(by: int) -> Order:
    def order(content: Content, about: str, data: Mapping[str, str], new_id: Callable[[], str]) -> Done:
        new = editing.shift_step(content, about, by)
        here = _found(new, about)
        return Done(new, f"Now step {here.number}, in section {here.letter}.", step=about)

    return order


def _place(content: Content, about: str, data: Mapping[str, str], new_id: Callable[[], str]) -> Done:
    position = data.get("to", "")
    at = int(position) if position.isdecimal() and len(position) < 4 else 10**3
    new = editing.move_step(content, about, data.get("section", ""), at)
    here = _found(new, about)
    return Done(new, f"Now step {here.number}, in section {here.letter}.", step=about)


def _add(offset: int) -> Order:
    def order(content: Content, about: str, data: Mapping[str, str], new_id: Callable[[], str]) -> Done:
        here = _found(content, about)
        at = [step["id"] for step in here.section["steps"]].index(about) + offset
        made = new_id()
        new = editing.add_step(content, here.section["id"], made, at=at)
        return Done(new, f"Step {_found(new, made).number} is new. Write what is to be done.", step=made)

    return order


def _join(content: Content, about: str, data: Mapping[str, str], new_id: Callable[[], str]) -> Done:
    here = _found(content, about)
    steps = [step["id"] for step in here.section["steps"]]
    place = steps.index(about)
    if place + 1 == len(steps):
        raise OrderError("There is no step below it in this section.")
    edited = editing.join_steps(content, about, steps[place + 1])
    return Done(edited.content, f"Steps {here.number} and {here.number + 1} are one now.", edited.removed, about)


def _sink(content: Content, about: str, data: Mapping[str, str], new_id: Callable[[], str]) -> Done:
    here = _found(content, about)
    place = [step["id"] for step in here.section["steps"]].index(about)
    if place == 0:
        raise OrderError("The first step of a section has no step above it.")
    above = here.section["steps"][place - 1]["id"]
    edited = editing.step_to_subpoint(content, about)
    return Done(edited.content, f"Now a sub-point of step {here.number - 1}.", edited.removed, above)


def _lift(content: Content, about: str, data: Mapping[str, str], new_id: Callable[[], str]) -> Done:
    which = data.get("subpoint", "")
    if not which.isdecimal():
        raise OrderError("Choose the sub-point.")
    made = new_id()
    new = editing.subpoint_to_step(content, about, int(which), made)
    return Done(new, f"The sub-point is step {_found(new, made).number} now.", step=made)


def _split(content: Content, about: str, data: Mapping[str, str], new_id: Callable[[], str]) -> Done:
    first, second = data.get("first", "").strip(), data.get("second", "").strip()
    if not first or not second:
        raise OrderError("Both halves need words.")
    here = _found(content, about)
    new = editing.split_step(content, about, new_id(), first, second)
    return Done(new, f"Steps {here.number} and {here.number + 1} came of one.", step=about)


def _remove(content: Content, about: str, data: Mapping[str, str], new_id: Callable[[], str]) -> Done:
    number = _found(content, about).number
    edited = editing.remove_step(content, about)
    return Done(edited.content, f"Step {number} is taken out.", edited.removed)


def _section_add(content: Content, about: str, data: Mapping[str, str], new_id: Callable[[], str]) -> Done:
    title = data.get("title", "").strip()
    if not title:
        raise OrderError("Give the section a title.")
    section, step = new_id(), new_id()
    new = editing.add_step(editing.add_section(content, section, title), section, step)
    letter = section_letter(len(new["sections"]) - 1)
    return Done(new, f"Section {letter} is new. Write its first step.", step=step)


def _section_step(content: Content, about: str, data: Mapping[str, str], new_id: Callable[[], str]) -> Done:
    made = new_id()
    new = editing.add_step(content, about, made)
    return Done(new, f"Step {_found(new, made).number} is new. Write what is to be done.", step=made)


def _section_title(content: Content, about: str, data: Mapping[str, str], new_id: Callable[[], str]) -> Done:
    title = data.get("title", "").strip()
    if not title:
        raise OrderError("Give the section a title.")
    return Done(editing.change_section(content, about, title), "The section has its new title.")


def _section_shift(by: int) -> Order:
    def order(content: Content, about: str, data: Mapping[str, str], new_id: Callable[[], str]) -> Done:
        ids = [section["id"] for section in content["sections"]]
        if about not in ids:
            raise KeyError(about)
        to = min(max(ids.index(about) + by, 0), len(ids) - 1)
        return Done(editing.move_section(content, about, to), f"Now section {section_letter(to)}.")

    return order


def _section_remove(content: Content, about: str, data: Mapping[str, str], new_id: Callable[[], str]) -> Done:
    edited = editing.remove_section(content, about)
    return Done(edited.content, "The section is taken out, with its steps.", edited.removed)


_ORDERS: dict[str, Order] = {
    "up": _shift(-1),
    "down": _shift(1),
    "place": _place,
    "above": _add(0),
    "below": _add(1),
    "join": _join,
    "sink": _sink,
    "lift": _lift,
    "split": _split,
    "remove": _remove,
    "section_add": _section_add,
    "section_step": _section_step,
    "section_title": _section_title,
    "section_up": _section_shift(-1),
    "section_down": _section_shift(1),
    "section_remove": _section_remove,
}

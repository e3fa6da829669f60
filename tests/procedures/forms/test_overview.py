"""Bringing a list in: text, file, or an empty list with a title."""

from __future__ import annotations

from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile

from checkoffs.people.permissions import Access
from checkoffs.procedures.forms.overview import BringInForm
from tests.world import World


def form(world: World, by: Any, data: dict[str, Any], **files: Any) -> BringInForm:
    return BringInForm({"program": world.program.pk} | data, files, access=Access.of(by))


def test_a_file_stands_for_the_text(world: World) -> None:
    filled = form(world, world.instructor, {"text": "no"}, file=SimpleUploadedFile("a.md", b"1. Clean hands"))
    assert filled.is_valid()
    assert filled.cleaned_data["text"] == "1. Clean hands"


def test_nothing_at_all_says_the_three_ways(world: World) -> None:
    assert "start with an empty list" in form(world, world.instructor, {}).errors["text"][0]
    assert list(form(world, world.instructor, {"do": "empty"}).errors) == ["title"]
    assert form(world, world.instructor, {"do": "empty", "title": "Bed bath"}).is_valid()


def test_only_programs_one_writes_for_are_offered(world: World) -> None:
    assert list(form(world, world.outsider, {"text": "1. x"}).errors) == ["program"]
    assert list(form(world, world.evaluator, {"text": "1. x"}).errors) == ["program"]

"""Bringing a list in: paste or file, correct what was understood, save."""

from __future__ import annotations

from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from checkoffs.procedures.content import numbered_steps
from checkoffs.procedures.models import Procedure
from tests.procedures.make import LIST
from tests.procedures.views.make import content_of
from tests.world import World


def test_a_pasted_list_is_shown_corrected_and_saved(world: World, signed_in: Any) -> None:
    client = signed_in("instructor")
    shown = client.post(reverse("procedures:new"), {"do": "read", "program": world.program.pk, "text": LIST})
    rows = [(row.kind, row.text, row.critical, row.line) for row in shown.context["rows"]]
    assert rows == [
        ("section", "Before", False, 3),
        ("step", "Clean hands", False, 4),
        ("step", "Confirm name and birth date with the wristband", True, 5),
        ("section", "At the bedside", False, 6),
        ("step", "Find the pulse below the thumb", False, 7),
        ("subpoint", "two fingers, no thumb", False, 8),
        ("subpoint", "light pressure", False, 9),
        ("step", "Count for a full minute", False, 10),
        ("step", "Write the rate down", False, 11),
    ]
    assert not Procedure.objects.exists()
    kinds = [row[0] for row in rows]
    kinds[6], kinds[8] = "step", "out"
    saved = client.post(
        reverse("procedures:new"),
        {"do": "save", "program": world.program.pk, "title": "Pulse", "source": LIST, "kind": kinds,
         "text": [row[1] for row in rows], "line": [row[3] for row in rows], "critical": ["1"]},
        follow=True,
    )  # fmt: skip
    procedure = Procedure.objects.get()
    steps = [(one.step["text"], one.step["critical"], one.step["subpoints"])
             for one in numbered_steps(content_of(procedure))]  # fmt: skip
    assert steps == [
        ("Clean hands", True, []),
        ("Confirm name and birth date with the wristband", False, []),
        ("Find the pulse below the thumb", False, ["two fingers, no thumb"]),
        ("light pressure", False, []),
        ("Count for a full minute", False, []),
    ]
    assert "1 lines were left out" in saved.content.decode()


def test_a_file_is_read_and_one_that_is_no_text_is_refused_with_what_is_taken(world: World, signed_in: Any) -> None:
    client = signed_in("instructor")
    data = {"do": "read", "program": world.program.pk}
    shown = client.post(reverse("procedures:new"), data | {"file": SimpleUploadedFile("list.txt", LIST.encode())})
    assert shown.context["counts"]["step"] == 5
    refused = client.post(reverse("procedures:new"), data | {"file": SimpleUploadedFile("l.pdf", b"%PDF-1.7")})
    assert refused.status_code == 422
    assert "The file is a PDF, not plain text." in refused.content.decode()


def test_a_list_without_a_title_is_kept_on_the_page(world: World, signed_in: Any) -> None:
    data = {"do": "save", "program": world.program.pk, "title": "", "kind": ["step"], "text": ["Clean hands"]}
    response = signed_in("instructor").post(reverse("procedures:new"), data)
    assert response.status_code == 422
    assert "Clean hands" in response.content.decode()
    assert not Procedure.objects.exists()


def test_an_empty_list_starts_with_one_step(world: World, signed_in: Any) -> None:
    data = {"do": "empty", "program": world.program.pk, "title": "Bed bath"}
    response = signed_in("instructor").post(reverse("procedures:new"), data)
    assert response.status_code == 302
    assert len(list(numbered_steps(content_of(Procedure.objects.get())))) == 1


def test_a_long_list_survives_its_correction(world: World, signed_in: Any) -> None:
    """200 steps with two sub-points each: 600 lines, four fields a line."""
    source = "Long list\n" + "".join(f"{n}. Step number {n}\n   - first\n   - second\n" for n in range(1, 201))
    client = signed_in("instructor")
    shown = client.post(reverse("procedures:new"), {"do": "read", "program": world.program.pk, "text": source})
    rows = shown.context["rows"]
    assert len(rows) == 600
    data = {"title": "Long list", "program": world.program.pk, "do": "save", "source": source,
            "kind": [row.kind for row in rows], "text": [row.text for row in rows],
            "line": [row.line for row in rows]}  # fmt: skip
    assert client.post(reverse("procedures:new"), data).status_code == 302
    assert len(list(numbered_steps(content_of(Procedure.objects.get())))) == 200

"""The command prints what the reader understands, saves nothing, and refuses with a plain sentence."""

from __future__ import annotations

import json
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

VECTORS = Path(__file__).resolve().parents[3] / "fixtures" / "vectors" / "reading"


def test_it_prints_the_reading_as_json() -> None:
    out = StringIO()
    call_command("read_procedure", str(VECTORS / "04_letters_over_numbers.txt"), stdout=out)
    assert json.loads(out.getvalue()) == json.loads((VECTORS / "04_letters_over_numbers.json").read_text("utf-8"))


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match=r"There is no file .*nothing\.txt"):
        call_command("read_procedure", str(tmp_path / "nothing.txt"))


def test_a_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="cannot be opened"):
        call_command("read_procedure", str(tmp_path))


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"\x00\x01", "binary data"),
        (b"x" * 1_000_001, "1 MB"),
        (b"caf\xe9", "UTF-8"),
        (b"PK\x03\x04", "office document"),
    ],
)
def test_a_file_that_is_no_text_is_refused(tmp_path: Path, data: bytes, words: str) -> None:
    path = tmp_path / "list.txt"
    path.write_bytes(data)
    with pytest.raises(CommandError, match=words):
        call_command("read_procedure", str(path))

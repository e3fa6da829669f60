"""Bytes to text: what is read, and the plain refusal of everything else."""

from __future__ import annotations

import pytest

from checkoffs.procedures.reading_file import LARGEST_BYTES, NotReadableError, text_of


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_text_in_a_known_encoding_is_decoded(encoding: str) -> None:
    assert text_of("1. Wash – hands µ".encode(encoding)).lstrip("\ufeff") == "1. Wash – hands µ"


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"a" * (LARGEST_BYTES + 1), "too_large"),
        (b"PK\x03\x04 anything", "not_text"),
        (b"%PDF-1.7", "not_text"),
        (b"1. Wash\0hands", "not_text"),
        ("1. Füße waschen".encode("cp1252"), "encoding"),
        (b"\xff\xfe1", "encoding"),
    ],
)
def test_anything_else_is_refused_with_its_code(data: bytes, code: str) -> None:
    with pytest.raises(NotReadableError) as refusal:
        text_of(data)
    assert refusal.value.code == code
    assert refusal.value.message.endswith(".")


def test_the_largest_file_is_still_read() -> None:
    assert len(text_of(b"a" * LARGEST_BYTES)) == LARGEST_BYTES

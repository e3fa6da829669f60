"""Canonical bytes against RFC 8785, leaf hashes against RFC 6962, codes against their own promise."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checkoffs.records.canonical import (
    CODE_SIGNS,
    canonical_bytes,
    code_from,
    digest_of,
    entry_hash,
    grouped,
    leaf_hash,
    read_code,
)

# The canonicalization vectors published by the author of RFC 8785; they lie beside the checkout, not in it.
VECTORS = Path(__file__).resolve().parents[3] / "shared" / "reference" / "standards" / "jcs"
NAMES = ("arrays", "french", "structures", "unicode", "values", "weird")


@pytest.mark.parametrize("name", NAMES)
def test_published_vectors(name: str) -> None:
    """Each published input gives the published bytes."""
    if not VECTORS.is_dir():
        pytest.skip("the published vectors are not beside this checkout")
    document = json.loads((VECTORS / "input" / f"{name}.json").read_text("utf-8"))
    expected = bytes.fromhex((VECTORS / "outhex" / f"{name}.txt").read_text())
    assert canonical_bytes(document) == expected


def test_figures_of_the_rfc() -> None:
    """RFC 8785, section 3.2.2 (numbers and strings) and 3.2.3 (order by UTF-16 units), figures copied here."""
    numbers = [333333333.33333329, 1e30, 4.50, 2e-3, 0.000000000000000000000000001]
    assert canonical_bytes({"numbers": numbers}) == b'{"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27]}'
    order = {
        "€": "Euro Sign",
        "\r": "Carriage Return",
        "\ufb33": "Hebrew",
        "1": "One",
        "😂": "Smiley",
        "\x80": "Control",
    }
    found = [key for key, _ in json.loads(canonical_bytes(order), object_pairs_hook=list)]
    assert found == ["\r", "1", "\x80", "€", "😂", "\ufb33"]


def test_leaf_hash_figures() -> None:
    """RFC 6962, section 2.1; the heads of the one- and two-leaf trees of the reference test suite of that RFC.

    Its first two entries are the empty string and one zero byte.
    """
    first, second = entry_hash(b""), entry_hash(b"\x00")
    assert first == "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d"
    head = hashlib.sha256(b"\x01" + bytes.fromhex(first) + bytes.fromhex(second)).hexdigest()
    assert head == "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125"


def test_leaf_of_a_record_is_the_hash_of_its_digest() -> None:
    """The entry is 32 raw bytes, neither the hex text nor the snapshot."""
    digest = digest_of(b"{}")
    assert digest == "44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a"  # printf '{}' | sha256sum
    assert leaf_hash(digest) == hashlib.sha256(b"\x00" + bytes.fromhex(digest)).hexdigest()
    with pytest.raises(ValueError, match="32 bytes"):
        leaf_hash(digest[:-2])


@given(st.integers(0, 30**8 - 1))
def test_codes_survive_people(number: int) -> None:
    """A code is read back however it was typed, and differs for each number."""
    code = code_from(number)
    assert read_code(code) == code
    assert read_code(code.lower().replace("-", " ")) == code
    assert read_code(code.removeprefix("SW-").replace("-", "")) == code
    assert sum(CODE_SIGNS.index(sign) * 30**place for place, sign in enumerate(code[3:].replace("-", ""))) == number


@pytest.mark.parametrize("typed", ["", "SW-7KQ4", "SW-7KQ4-M2X0", "SW-7KQ4-M2XI", "7KQ4-M2XE-AA", "<script>"])
def test_not_a_code(typed: str) -> None:
    """Too short, too long, or with a sign that no code has."""
    assert read_code(typed) is None


def test_grouped_digest() -> None:
    """Sixteen groups of four, four to a block, nothing lost."""
    text = grouped("0123456789abcdef" * 4)
    assert text.startswith("0123 4567 89ab cdef  0123")
    assert text.replace(" ", "") == "0123456789abcdef" * 4

"""Signed heads and places as documents: RFC 8032's own figures, and every field counts."""

from __future__ import annotations

from typing import Any

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from checkoffs.records import signed, tree
from checkoffs.records.canonical import leaf_hash

KEY = Ed25519PrivateKey.from_private_bytes(bytes(range(32)))
DIGESTS = [f"{number:064x}" for number in range(5)]
LEAVES = [bytes.fromhex(leaf_hash(digest)) for digest in DIGESTS]


def _head(size: int = 5) -> dict[str, Any]:
    statement = {"size": size, "root": tree.root(LEAVES[:size]).hex(), "audit": "00" * 32, "key": "a key"}
    return signed.sign_head(statement | {"signed_at": "2026-10-14T09:36:05Z"}, KEY)


def test_signature_is_ed25519_of_the_library() -> None:
    """RFC 8032, section 7.1, test 2 (one byte 0x72), so that the primitive is the published one."""
    secret = bytes.fromhex("4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb")
    made = Ed25519PrivateKey.from_private_bytes(secret).sign(b"\x72").hex()
    assert made.startswith("92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da")


@pytest.mark.parametrize("field", ["format", "size", "root", "audit", "signed_at", "key", "signature"])
def test_every_field_of_a_head_is_signed(field: str) -> None:
    """Changed, or left out, it does not hold any more."""
    head = _head()
    assert signed.head_holds(head, KEY.public_key())
    assert not signed.head_holds(head | {field: "ab" * 64}, KEY.public_key())
    assert not signed.head_holds({name: head[name] for name in head if name != field}, KEY.public_key())
    assert not signed.head_holds(head, Ed25519PrivateKey.generate().public_key())
    assert not signed.head_holds(head, None)


@pytest.mark.parametrize("change", [{"index": 2}, {"path": []}, {"path": ["x"]}, {"head": {}}, {"head": None}])
def test_a_place_holds_for_one_record_at_one_place(change: dict[str, Any]) -> None:
    """Another digest, place, path or head is refused, and nonsense as well."""
    place = signed.place("SW-7KQ4-M2XE", 3, DIGESTS[3], tree.inclusion_proof(LEAVES, 3), _head())
    assert signed.place_holds(place, DIGESTS[3])
    assert not signed.place_holds(place, DIGESTS[2])
    assert not signed.place_holds(place | change, DIGESTS[3])


def test_heads_agree_when_one_goes_on_from_the_other() -> None:
    """Same leaves and more; a forked tree has no proof."""
    path = [step.hex() for step in tree.consistency_proof(LEAVES, 3)]
    assert signed.heads_agree(_head(3), _head(), path)
    assert signed.heads_agree(_head(), _head())
    assert not signed.heads_agree(_head(3), _head())
    assert not signed.heads_agree(_head(2), _head(), path)
    assert not signed.heads_agree({}, _head(), path)

"""A signed tree head and a record's place under it, as documents that leave the installation. Pure.

Head: {"format", "size", "root", "audit", "signed_at", "key"} and "signature", Ed25519 (RFC 8032) over the canonical
JSON (RFC 8785) of the rest. Place: {"format", "code", "index", "digest", "path", "head"}; hashes are hex.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

from checkoffs.records import tree
from checkoffs.records.canonical import canonical_bytes, leaf_hash

HEAD_FORMAT = "stepwitness-head-1"
PLACE_FORMAT = "stepwitness-place-1"
Json = Mapping[str, Any]


def sign_head(statement: Json, key: Ed25519PrivateKey) -> dict[str, Any]:
    """The head with its signature. ``statement``: {"size", "root", "audit", "signed_at", "key"}."""
    head = {"format": HEAD_FORMAT, **statement}
    return {**head, "signature": key.sign(canonical_bytes(head)).hex()}


def head_holds(head: Json, key: Ed25519PublicKey | None) -> bool:
    """Whether the head was signed with this key; False for what is no head at all."""
    signed = {name: value for name, value in head.items() if name != "signature"}
    try:
        signature = bytes.fromhex(head["signature"])
        if key is None or head["format"] != HEAD_FORMAT:
            return False
        key.verify(signature, canonical_bytes(signed))
    except (InvalidSignature, KeyError, TypeError, ValueError):
        return False
    return True


def place(code: str, index: int, digest: str, path: Sequence[bytes], head: Json) -> dict[str, Any]:
    """A record's place under a head."""
    steps = [step.hex() for step in path]
    return {
        "format": PLACE_FORMAT, "code": code, "index": index, "digest": digest, "path": steps, "head": dict(head),
    }  # fmt: skip


def place_holds(document: Json, digest: str) -> bool:
    """Whether a snapshot of this digest stands at its place under the head that the document names."""
    try:
        head, path = document["head"], [bytes.fromhex(step) for step in document["path"]]
        leaf, under = bytes.fromhex(leaf_hash(digest)), bytes.fromhex(head["root"])
        return bool(tree.verify_inclusion(leaf, document["index"], head["size"], path, under))
    except (KeyError, TypeError, ValueError):
        return False


def heads_agree(earlier: Json, later: Json, path: Sequence[str] = ()) -> bool:
    """Whether the later head has all leaves of the earlier one in their order; ``path``: consistency proof, hex."""
    try:
        roots = (bytes.fromhex(earlier["root"]), bytes.fromhex(later["root"]))
        steps = [bytes.fromhex(step) for step in path]
        return tree.verify_consistency(earlier["size"], later["size"], *roots, steps)
    except (KeyError, TypeError, ValueError):
        return False

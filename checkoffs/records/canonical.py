"""From a document to the bytes, digest, leaf hash and code that it is known by; the same on every machine.

The order is fixed for ever:

1. canonical bytes = RFC 8785 (JSON Canonicalization Scheme) of the snapshot, whose salt is a field of it.
2. digest          = SHA-256 of the canonical bytes, 32 bytes, written as 64 hex digits.
3. leaf hash       = SHA-256 of one zero byte followed by the 32 raw bytes of the digest. RFC 6962, section 2.1,
   MTH({d(0)}), with the digest as the entry: the entry of the tree is the digest, never the snapshot, so that the
   snapshot can be disposed of and the tree stays whole.
"""

from __future__ import annotations

import hashlib
from typing import Any

import rfc8785

# 30 signs that cannot be taken for one another when read aloud or copied by hand: no 0 O, 1 I L, and no U.
CODE_SIGNS = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
CODE_LENGTH = 8


def canonical_bytes(document: Any) -> bytes:
    """The one way to write a JSON document, RFC 8785; raises ValueError for what JSON cannot hold."""
    return rfc8785.dumps(document)


def digest_of(canonical: bytes) -> str:
    """SHA-256 of canonical bytes, 64 hex digits."""
    return hashlib.sha256(canonical).hexdigest()


def entry_hash(entry: bytes) -> str:
    """RFC 6962 leaf hash of an entry of any length, 64 hex digits."""
    return hashlib.sha256(b"\x00" + entry).hexdigest()


def leaf_hash(digest: str) -> str:
    """RFC 6962 leaf hash of a record: the entry is the 32 raw bytes behind the 64 hex digits."""
    raw = bytes.fromhex(digest)
    if len(raw) != hashlib.sha256().digest_size:
        raise ValueError(f"A digest has 32 bytes, not {len(raw)}.")
    return entry_hash(raw)


def code_from(number: int) -> str:
    """The record code for a (random) number, such as ``SW-7KQ4-M2XE``; numbers that differ by 30**8 share a code."""
    signs = []
    for _ in range(CODE_LENGTH):
        number, place = divmod(number, len(CODE_SIGNS))
        signs.append(CODE_SIGNS[place])
    return f"SW-{''.join(signs[:4])}-{''.join(signs[4:])}"


def read_code(typed: str) -> str | None:
    """The code a person meant, however spaced or cased, with or without SW; None if it cannot be one."""
    signs = "".join(sign for sign in typed.upper() if sign.isalnum())
    if len(signs) == CODE_LENGTH + 2:
        signs = signs.removeprefix("SW")
    if len(signs) != CODE_LENGTH or any(sign not in CODE_SIGNS for sign in signs):
        return None
    return f"SW-{signs[:4]}-{signs[4:]}"


def grouped(digest: str) -> str:
    """64 hex digits in groups of four with a wider gap after each four groups, for people who compare."""
    groups = [digest[start : start + 4] for start in range(0, len(digest), 4)]
    return "  ".join(" ".join(groups[start : start + 4]) for start in range(0, len(groups), 4))

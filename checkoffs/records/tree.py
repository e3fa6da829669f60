"""The Merkle tree over the leaves of all records (RFC 6962, section 2.1). Pure; hashes are 32 raw bytes.

A leaf is already hashed (``canonical.leaf_hash``). A node is SHA-256 of one byte 1, its left and its right child; a
node without a neighbour is carried upward as it is, which gives the tree of the RFC, level by level.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence


def node(left: bytes, right: bytes) -> bytes:
    """The hash of a node with two children."""
    return hashlib.sha256(b"\x01" + left + right).digest()


def _hashes(*values: bytes) -> bool:
    return all(len(value) == hashlib.sha256().digest_size for value in values)


def root(leaves: Sequence[bytes]) -> bytes:
    """The hash that stands for all leaves in their order; of no leaf: SHA-256 of nothing."""
    level = list(leaves)
    if not level:
        return hashlib.sha256(b"").digest()
    while len(level) > 1:
        level = _above(level)
    return level[0]


def _above(level: Sequence[bytes]) -> list[bytes]:
    paired = [node(level[place], level[place + 1]) for place in range(0, len(level) - 1, 2)]
    return [*paired, level[-1]] if len(level) % 2 else paired


def inclusion_proof(leaves: Sequence[bytes], index: int) -> list[bytes]:
    """The audit path of RFC 6962, section 2.1.1, lowest first. Raises IndexError for a place that is not there."""
    if not 0 <= index < len(leaves):
        raise IndexError(index)
    path, level = [], list(leaves)
    while len(level) > 1:
        neighbour = index ^ 1
        if neighbour < len(level):
            path.append(level[neighbour])
        level, index = _above(level), index // 2
    return path


def consistency_proof(leaves: Sequence[bytes], earlier: int) -> list[bytes]:
    """That the first ``earlier`` leaves are still the first ones (section 2.1.2); raises ValueError outside 1..n."""
    if not 0 < earlier <= len(leaves):
        raise ValueError(f"{earlier} of {len(leaves)} leaves")
    return _subproof(leaves, earlier, whole=True)


def _subproof(leaves: Sequence[bytes], earlier: int, *, whole: bool) -> list[bytes]:
    if earlier == len(leaves):
        return [] if whole else [root(leaves)]
    half = _half(len(leaves))
    if earlier <= half:
        return [*_subproof(leaves[:half], earlier, whole=whole), root(leaves[half:])]
    return [*_subproof(leaves[half:], earlier - half, whole=False), root(leaves[:half])]


def _half(size: int) -> int:
    """The largest power of two below ``size``."""
    return 1 << ((size - 1).bit_length() - 1)


def verify_inclusion(leaf: bytes, index: int, size: int, path: Sequence[bytes], head: bytes) -> bool:
    """Whether the path leads from the leaf at ``index`` to the root of a tree of ``size`` leaves."""
    if not 0 <= index < size or not _hashes(leaf, head, *path):
        return False
    found, place, last, steps = leaf, index, size - 1, iter(path)
    for step in steps:
        if last == 0:
            return False
        if place % 2 or place == last:
            found = node(step, found)
            while place % 2 == 0 and place:
                place, last = place // 2, last // 2
        else:
            found = node(found, step)
        place, last = place // 2, last // 2
    return last == 0 and found == head


def verify_consistency(earlier: int, size: int, before: bytes, after: bytes, path: Sequence[bytes]) -> bool:
    """Whether the tree of ``size`` leaves with root ``after`` begins with the one of ``earlier`` and root ``before``.

    A proof from an empty tree says nothing and is refused, as in the published vectors.
    """
    if not 0 < earlier <= size:
        return False
    if earlier == size:
        return not path and before == after
    if not _hashes(before, after, *path):
        return False
    steps = iter(path if earlier & (earlier - 1) else [before, *path])
    start = next(steps, None)
    return start is not None and _both(earlier, size, start, steps) == (before, after)


def _both(earlier: int, size: int, start: bytes, steps: Iterator[bytes]) -> tuple[bytes, bytes] | None:
    """The two roots that a consistency proof leads to; None when its length is not right."""
    place, last = earlier - 1, size - 1
    while place % 2:
        place, last = place // 2, last // 2
    old = new = start
    for step in steps:
        if last == 0:
            return None
        if place % 2 or place == last:
            old, new = node(step, old), node(step, new)
            while place % 2 == 0 and place:
                place, last = place // 2, last // 2
        else:
            new = node(new, step)
        place, last = place // 2, last // 2
    return (old, new) if last == 0 else None

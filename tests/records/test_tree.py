"""The Merkle tree: every published vector, figures copied from one of them, and proofs of all small trees."""

from __future__ import annotations

import base64
import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checkoffs.records import tree
from checkoffs.records.canonical import entry_hash

# 98 inclusion and 98 consistency vectors of transparency-dev/merkle; they lie beside the checkout, not in it.
VECTORS = Path(__file__).resolve().parents[3] / "shared" / "reference" / "standards" / "merkle"
# The eight entries of the reference tree of RFC 6962 (its section 2.1.3 draws seven of them), and the roots of its
# first one to eight leaves, figures as published with those vectors.
ENTRIES = ["", "00", "10", "2021", "3031", "40414243", "5051525354555657", "606162636465666768696a6b6c6d6e6f"]
ROOTS = [
    "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
    "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
    "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
    "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
    "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
    "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
    "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
    "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
]


def _leaves(count: int) -> list[bytes]:
    return [bytes.fromhex(entry_hash(str(number).encode())) for number in range(count)]


def _vectors(kind: str) -> list[dict[str, Any]]:
    if not VECTORS.is_dir():
        pytest.skip("the published vectors are not beside this checkout")
    found = [json.loads(path.read_text("utf-8")) for path in sorted((VECTORS / kind).rglob("*.json"))]
    assert len(found) == 98
    return found


def _raw(text: str | None) -> bytes:
    return base64.b64decode(text or "")


def _path(texts: list[str] | None) -> list[bytes]:
    return [_raw(text) for text in texts or []]


def test_published_inclusion_vectors() -> None:
    """Each is accepted or refused as published."""
    for one in _vectors("inclusion"):
        place = (one["leafIdx"], one["treeSize"], _path(one["proof"]), _raw(one["root"]))
        assert tree.verify_inclusion(_raw(one["leafHash"]), *place) is not one["wantErr"], one


def test_published_consistency_vectors() -> None:
    """Each is accepted or refused as published; one from an empty tree is refused."""
    for one in _vectors("consistency"):
        roots = (_raw(one["root1"]), _raw(one["root2"]))
        found = tree.verify_consistency(one["size1"], one["size2"], *roots, _path(one["proof"]))
        assert found is not one["wantErr"], one


def test_roots_of_the_reference_tree() -> None:
    """The empty tree of RFC 6962, section 2.1 (SHA-256 of nothing), and the published roots of sizes 1 to 8."""
    assert tree.root([]).hex() == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
    leaves = [bytes.fromhex(entry_hash(bytes.fromhex(entry))) for entry in ENTRIES]
    assert [tree.root(leaves[: size + 1]).hex() for size in range(8)] == ROOTS


def test_proofs_of_the_rfc() -> None:
    """RFC 6962, section 2.1.3: audit paths of d0 [b, h, l], d3 [c, g, l], d4 [f, j, k], d6 [i, k], and the proofs."""
    d = [bytes.fromhex(entry_hash(bytes.fromhex(entry))) for entry in ENTRIES[:7]]
    g, h, i, j = (tree.node(d[0], d[1]), tree.node(d[2], d[3]), tree.node(d[4], d[5]), d[6])
    k, left = tree.node(g, h), tree.node(i, j)
    assert tree.inclusion_proof(d, 0) == [d[1], h, left]
    assert tree.inclusion_proof(d, 3) == [d[2], g, left]
    assert tree.inclusion_proof(d, 4) == [d[5], j, k]
    assert tree.inclusion_proof(d, 6) == [i, k]
    assert tree.consistency_proof(d, 3) == [d[2], d[3], g, left]
    assert tree.consistency_proof(d, 4) == [left]
    assert tree.consistency_proof(d, 6) == [i, j, k]


@pytest.mark.parametrize("size", range(1, 34))
def test_every_proof_holds_and_no_other_does(size: int) -> None:
    """All places and all earlier sizes; another leaf, another root, a shorter or longer path are refused."""
    leaves = _leaves(size)
    head = tree.root(leaves)
    for index, leaf in enumerate(leaves):
        path = tree.inclusion_proof(leaves, index)
        assert tree.verify_inclusion(leaf, index, size, path, head)
        assert not tree.verify_inclusion(leaves[index - 1] if size > 1 else b"x" * 32, index, size, path, head)
        assert not tree.verify_inclusion(leaf, index, size, [*path, head], head)
        assert not path or not tree.verify_inclusion(leaf, index, size, path[:-1], head)
        before = tree.root(leaves[: index + 1])
        steps = tree.consistency_proof(leaves, index + 1)
        assert tree.verify_consistency(index + 1, size, before, head, steps)
        assert not tree.verify_consistency(index + 1, size, head[::-1], head, steps)
        assert not tree.verify_consistency(index + 1, size, before, head, [*steps, head])


@given(st.integers(2, 300), st.data())
def test_larger_trees(size: int, data: st.DataObject) -> None:
    """Any place of any tree; a flipped bit anywhere in the path breaks it."""
    leaves = _leaves(size)
    index = data.draw(st.integers(0, size - 1))
    path = tree.inclusion_proof(leaves, index)
    assert tree.verify_inclusion(leaves[index], index, size, path, tree.root(leaves))
    place, bit = data.draw(st.integers(0, len(path) - 1)), data.draw(st.integers(0, 255))
    wrong = (int.from_bytes(path[place]) ^ (1 << bit)).to_bytes(32)
    broken = [*path[:place], wrong, *path[place + 1 :]]
    assert not tree.verify_inclusion(leaves[index], index, size, broken, tree.root(leaves))


def test_what_is_not_there_is_refused() -> None:
    """Places and sizes outside of the tree."""
    with pytest.raises(IndexError):
        tree.inclusion_proof(_leaves(3), 3)
    for earlier in (0, 4):
        with pytest.raises(ValueError, match="of 3 leaves"):
            tree.consistency_proof(_leaves(3), earlier)
    assert not tree.verify_inclusion(b"", -1, 3, [], b"")

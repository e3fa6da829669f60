"""Keys: made once, private to the account, rotated with the public halves kept."""

from __future__ import annotations

import stat
import threading
from pathlib import Path
from typing import Any

import pytest
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from checkoffs.records import keys, signed


@pytest.fixture(autouse=True)
def folder(settings: Any, tmp_path: Path) -> Path:
    """Keys of this test alone."""
    settings.KEYS_DIR = tmp_path / "keys"
    return tmp_path / "keys"


def test_made_on_first_use_and_then_kept(folder: Path) -> None:
    """The same key each time; files for the owner alone (POSIX mode 0600 in a folder 0700)."""
    first = keys.head_key().public_key()
    assert keys.head_key().public_key() == first
    paper = keys.paper_key()
    assert keys.paper_key().certificate == paper.certificate
    assert isinstance(paper.private.curve, ec.SECP256R1)
    files = [path for path in folder.rglob("*") if path.is_file()]
    assert len(files) == 4
    assert {stat.S_IMODE(path.stat().st_mode) for path in files} == {0o600}
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_rotation_keeps_what_checks_old_signatures(folder: Path) -> None:
    """After it there is a new key for each; the old private halves are nowhere, the old public ones are known."""
    old, paper = keys.head_key(), keys.paper_key()
    head = signed.sign_head({"size": 1, "key": keys.key_id(old.public_key())}, old)
    keys.rotate()
    new = keys.head_key()
    assert new.public_key() != old.public_key()
    assert set(keys.head_keys()) == {keys.key_id(old.public_key()), keys.key_id(new.public_key())}
    assert signed.head_holds(head, keys.head_keys()[head["key"]])
    assert paper.certificate in keys.paper_certificates()
    assert len(keys.paper_certificates()) == 2
    assert old.private_bytes_raw() not in b"".join(path.read_bytes() for path in folder.rglob("*.pem"))


def test_two_processes_want_the_first_key_at_once(folder: Path) -> None:
    """Whoever comes second reads the first one's."""
    found: list[bytes] = []
    threads = [threading.Thread(target=lambda: found.append(keys.head_key().private_bytes_raw())) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(found) == 8
    assert len(set(found)) == 1
    assert len(list((folder / "public").glob("head-*"))) == 1


def test_ids_are_of_the_raw_public_key() -> None:
    """RFC 8032, section 7.1, test 1: its public key; id worked with sha256sum over the 32 bytes."""
    raw = bytes.fromhex("d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a")
    assert keys.key_id(Ed25519PublicKey.from_public_bytes(raw)) == "21fe31dfa154a261"


def test_another_kind_of_key_is_refused(folder: Path) -> None:
    """A PEM that is no Ed25519 public key."""
    paper = keys.paper_key()
    with pytest.raises(ValueError, match=r"."):
        keys.read_public(paper.certificate.public_bytes(keys._PEM))

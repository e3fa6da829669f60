"""The installation's own signing keys: made on first use, kept as files beside the database, never in it.

Two kinds: ``head`` (Ed25519) signs tree heads, ``paper`` (P-256 with a certificate of its own) signs PDFs. Rotation
throws the private half away and keeps the public one, so that what it signed can be checked for ever.
"""

from __future__ import annotations

import hashlib
import os
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from cryptography.x509.oid import NameOID
from django.conf import settings

HEAD, PAPER = "head", "paper"
_PEM = serialization.Encoding.PEM
_YEARS = 30  # as long as a program may have to show a record; the certificate vouches for nothing but the key


@dataclass(frozen=True)
class PaperKey:
    """The key that signs PDFs, and the certificate that carries its public half."""

    private: ec.EllipticCurvePrivateKey
    certificate: x509.Certificate


def key_id(public: Ed25519PublicKey) -> str:
    """The first 16 hex digits of the SHA-256 of the 32 raw bytes."""
    return hashlib.sha256(public.public_bytes_raw()).hexdigest()[:16]


def paper_id(certificate: x509.Certificate) -> str:
    """The first 16 hex digits of the certificate's SHA-256 fingerprint."""
    return certificate.fingerprint(hashes.SHA256()).hex()[:16]


def head_key() -> Ed25519PrivateKey:
    """The key that signs tree heads now."""
    loaded = serialization.load_pem_private_key(_kept(HEAD, _new_head), None)
    if not isinstance(loaded, Ed25519PrivateKey):
        raise TypeError("The file of the head key holds another kind of key.")
    public = loaded.public_key()
    _publish(HEAD, key_id(public), public_pem(public))
    return loaded


def paper_key() -> PaperKey:
    """The key that signs PDFs now."""
    text = _kept(PAPER, _new_paper)
    private, certificate = serialization.load_pem_private_key(text, None), x509.load_pem_x509_certificate(text)
    if not isinstance(private, ec.EllipticCurvePrivateKey):
        raise TypeError("The file of the paper key holds another kind of key.")
    _publish(PAPER, paper_id(certificate), certificate.public_bytes(_PEM))
    return PaperKey(private, certificate)


def head_keys() -> dict[str, Ed25519PublicKey]:
    """Every key that ever signed a head here, by id."""
    return {key_id(key): key for key in map(read_public, _public(HEAD))}


def paper_certificates() -> list[x509.Certificate]:
    """Every certificate that ever signed a PDF here."""
    return [x509.load_pem_x509_certificate(text) for text in _public(PAPER)]


def read_public(text: bytes) -> Ed25519PublicKey:
    """A public head key from its PEM; raises ValueError for anything else."""
    loaded = serialization.load_pem_public_key(text)
    if not isinstance(loaded, Ed25519PublicKey):
        raise ValueError("This is not an Ed25519 public key.")
    return loaded


def public_pem(public: Ed25519PublicKey) -> bytes:
    """The PEM of a public key."""
    return public.public_bytes(_PEM, serialization.PublicFormat.SubjectPublicKeyInfo)


def rotate() -> None:
    """Destroy the private halves of both keys and make new ones; the public halves stay."""
    head_key(), paper_key()  # so that both were published before they go
    for kind in (HEAD, PAPER):
        (settings.KEYS_DIR / f"{kind}.pem").unlink()
    head_key(), paper_key()


def _kept(kind: str, make: Callable[[], bytes]) -> bytes:
    """The private file of a kind; several processes may want the first one at once, and get the same."""
    path = settings.KEYS_DIR / f"{kind}.pem"
    if not path.exists():
        _write_once(path, make())
    return path.read_bytes()


def _publish(kind: str, name: str, text: bytes) -> None:
    path = settings.KEYS_DIR / "public" / f"{kind}-{name}.pem"
    if not path.exists():
        _write_once(path, text)


def _public(kind: str) -> list[bytes]:
    return [path.read_bytes() for path in sorted((settings.KEYS_DIR / "public").glob(f"{kind}-*.pem"))]


def _write_once(path: Path, text: bytes) -> None:
    """Whole or not at all, on the disk before anybody can sign with it, and never over an existing file."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    draft = path.with_name(f".{secrets.token_hex(8)}")
    try:
        with os.fdopen(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.link(draft, path)
    except FileExistsError:
        pass
    finally:
        draft.unlink(missing_ok=True)


def _private_pem(key: Ed25519PrivateKey | ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(_PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())


def _new_head() -> bytes:
    return _private_pem(Ed25519PrivateKey.generate())


def _new_paper() -> bytes:
    key, now = ec.generate_private_key(ec.SECP256R1()), datetime.now(UTC)
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Stepwitness records of this installation")])
    usage = x509.KeyUsage(True, True, *[False] * 7)  # digital signature and content commitment
    made = (
        x509.CertificateBuilder(name, name, key.public_key(), x509.random_serial_number())
        .not_valid_before(now - timedelta(minutes=5))
        .not_valid_after(now + timedelta(days=366 * _YEARS))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage, critical=True)
        .sign(key, hashes.SHA256())
    )
    return _private_pem(key) + made.public_bytes(_PEM)

"""Signing a finished PDF and checking such a signature: PAdES baseline (ETSI EN 319 142-1), P-256, the whole file.

The signature is a certification that allows no later change, appended to the rendering: the bytes before it stay as
they were, so that the rendering's own digest can still be taken from the signed file.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from io import BytesIO
from typing import TypeVar

from asn1crypto import keys as asn1_keys
from asn1crypto import x509 as asn1_x509
from cryptography import x509
from cryptography.hazmat.primitives import serialization
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.misc import PdfError
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign import fields, signers
from pyhanko.sign.general import SigningError
from pyhanko.sign.validation import SignatureCoverageLevel, validate_pdf_signature
from pyhanko_certvalidator import ValidationContext
from pyhanko_certvalidator.registry import SimpleCertificateStore

from checkoffs.records.keys import PaperKey

T = TypeVar("T")
FIELD = "Seal"
SIGNED, NONE, FOREIGN, BROKEN, NOT_WHOLE = "signed", "none", "foreign", "broken", "not_whole"


def sign_pdf(data: bytes, key: PaperKey) -> bytes:
    """The same bytes with a signature after them."""
    return _aside(lambda: _sign(data, key))


def signature_of(data: bytes, certificates: Iterable[x509.Certificate]) -> str:
    """``signed`` by one of the certificates over every byte of the file, or what is wrong.

    ``none``: no signature; ``foreign``: by another key; ``broken``: the bytes it covers were changed; ``not_whole``:
    something was appended to what it covers.
    """
    known = [_certificate(one) for one in certificates]
    return _aside(lambda: _check(data, known))


def _aside(work: Callable[[], T]) -> T:
    """In a thread of its own: the library runs an event loop, which a thread that has one does not allow."""
    with ThreadPoolExecutor(1) as thread:
        return thread.submit(work).result()


def _certificate(one: x509.Certificate) -> asn1_x509.Certificate:
    return asn1_x509.Certificate.load(one.public_bytes(serialization.Encoding.DER))


class _MetadataKept(IncrementalPdfFileWriter):
    """The library writes the metadata anew, in another form than PDF/A asks for; ours stays as rendered."""

    def _update_meta(self) -> None:
        return


def _sign(data: bytes, key: PaperKey) -> bytes:
    der = key.private.private_bytes(
        serialization.Encoding.DER, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    certificate, store = _certificate(key.certificate), SimpleCertificateStore()  # type: ignore[no-untyped-call]
    store.register(certificate)
    signer = signers.SimpleSigner(certificate, asn1_keys.PrivateKeyInfo.load(der), store)
    about = signers.PdfSignatureMetadata(
        field_name=FIELD,
        md_algorithm="sha256",
        subfilter=fields.SigSeedSubFilter.PADES,
        certify=True,
        docmdp_permissions=fields.MDPPerm.NO_CHANGES,
    )
    # Out of the page: an invisible field inside it would have to be tagged, and may not be hidden in PDF/A.
    field = fields.SigFieldSpec(FIELD, invis_sig_settings=fields.InvisSigSettings(box_out_of_bounds=True))
    out = BytesIO()
    signers.PdfSigner(about, signer, new_field_spec=field).sign_pdf(_MetadataKept(BytesIO(data)), output=out)
    return out.getvalue()


def _check(data: bytes, known: list[asn1_x509.Certificate]) -> str:
    try:
        found = PdfFileReader(BytesIO(data)).embedded_signatures
        if not found:
            return NONE
        signer = found[0].signer_cert
        if signer is None or signer.sha256 not in {one.sha256 for one in known}:
            return FOREIGN
        trusted = ValidationContext(trust_roots=known, allow_fetching=False)
        status = validate_pdf_signature(found[0], signer_validation_context=trusted)
        if not (status.intact and status.valid):
            return BROKEN
        whole = status.coverage == SignatureCoverageLevel.ENTIRE_FILE and len(found) == 1
        return SIGNED if whole else NOT_WHOLE
    # A damaged file breaks the parser in more ways than its author names; none of them may pass as sound.
    except (
        PdfError,
        SigningError,
        ValueError,
        KeyError,
        TypeError,
        IndexError,
        AttributeError,
        RecursionError,
        OSError,
    ):
        return BROKEN

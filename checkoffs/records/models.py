"""Sealed records: the leaf that stays for ever, and the content that a disposal may remove."""

from __future__ import annotations

import uuid
from typing import ClassVar

from django.conf import settings
from django.db import models

from checkoffs.ledger.durability import Appendable, Disposable, Durability, Frozen


class LeafKind(models.TextChoices):
    """What a leaf says about an attempt."""

    RECORD = "record", "record"
    AMENDMENT = "amendment", "amendment"
    VOID = "void", "void"


class RecordLeaf(models.Model):
    """Position and digest of one sealed document; holds no personal content of its own."""

    durability: ClassVar[Durability] = Frozen()

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    index = models.PositiveBigIntegerField(unique=True)
    kind = models.CharField(max_length=20, choices=LeafKind.choices)
    code = models.CharField("record code, as printed", max_length=20, unique=True)
    attempt = models.ForeignKey("checkoffs.Attempt", on_delete=models.PROTECT, related_name="leaves")
    amends = models.ForeignKey("self", on_delete=models.PROTECT, null=True, related_name="amendments")
    outcome = models.CharField("outcome that stands with this leaf", max_length=20, default="")
    digest = models.CharField("SHA-256 of the canonical snapshot", max_length=64)
    leaf_hash = models.CharField("RFC 6962 leaf hash of the digest", max_length=64)
    sealed_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    sealed_at = models.DateTimeField()

    class Meta:
        ordering = ["index"]

    def __str__(self) -> str:
        return self.code


class TreeHead(models.Model):
    """One signed statement of how many leaves there are and what root they have; it also ties the audit chain."""

    durability: ClassVar[Durability] = Appendable()

    size = models.PositiveBigIntegerField("number of leaves", db_index=True)
    root = models.CharField("RFC 6962 root", max_length=64)
    audit = models.CharField("digest of the newest audit entry then", max_length=64)
    signed_at = models.DateTimeField()
    key = models.CharField("id of the signing key", max_length=16)
    signature = models.CharField("Ed25519, hex", max_length=128)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"head of {self.size} leaves"


class RecordContent(models.Model):
    """The canonical snapshot (RFC 8785 bytes, salt inside)."""

    durability: ClassVar[Durability] = Disposable()

    leaf = models.OneToOneField(RecordLeaf, on_delete=models.PROTECT, related_name="content")
    canonical = models.BinaryField()

    def __str__(self) -> str:
        return f"content of {self.leaf_id}"


class RecordPdf(models.Model):
    """The one PDF of a leaf, rendered once and served as stored for ever."""

    durability: ClassVar[Durability] = Disposable()

    leaf = models.OneToOneField(RecordLeaf, on_delete=models.PROTECT, related_name="pdf")
    data = models.BinaryField()
    digest = models.CharField(max_length=64)
    renderer = models.CharField(max_length=80)
    pages = models.PositiveIntegerField()
    rendered_at = models.DateTimeField()
    head = models.ForeignKey(TreeHead, on_delete=models.PROTECT, null=True, related_name="pdfs")
    verify_at = models.CharField("address printed for checking", max_length=200, default="")
    unsigned_digest = models.CharField("SHA-256 of the rendering before it was signed", max_length=64, default="")
    unsigned_size = models.PositiveIntegerField("bytes before the signature", default=0)

    def __str__(self) -> str:
        return f"PDF of {self.leaf_id}"

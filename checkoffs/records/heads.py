"""Signing and handing out tree heads: the one thing that has to leave the system for it to prove anything.

Every PDF carries the head it was set under; reports print the newest one; ``records:head`` gives it to anybody.
"""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from checkoffs.ledger.actions import START, action, audit
from checkoffs.ledger.models import AuditEntry
from checkoffs.people.models import User
from checkoffs.records import keys, queries, signed, tree
from checkoffs.records.models import RecordLeaf, TreeHead


@action
def head_over_all(*, by: User | None = None) -> TreeHead:
    """The newest head if it covers every leaf and its key is the one in use; else a new one."""
    key = keys.head_key()
    name = keys.key_id(key.public_key())
    leaves, newest = queries.leaf_hashes(), queries.latest_head()
    if newest is not None and (newest.size, newest.key) == (len(leaves), name):
        return newest
    now = timezone.now().replace(microsecond=0)
    # Entries are added under a lock held to the end of a transaction, so the newest one seen here is a true end.
    last = AuditEntry.objects.order_by("-id").values_list("digest", flat=True).first() or START
    statement = {"size": len(leaves), "root": tree.root(leaves).hex(), "audit": last, "key": name}
    statement["signed_at"] = queries.iso(now)
    made = signed.sign_head(statement, key)
    fields = {field: made[field] for field in ("size", "root", "audit", "key", "signature")}
    head = TreeHead.objects.create(**fields, signed_at=now)
    audit(by=by, act="head.signed", subject=head, detail={"size": head.size, "root": head.root, "key": name})
    return head


def as_document(head: TreeHead) -> dict[str, Any]:
    """A head as it leaves the system."""
    return {
        "format": signed.HEAD_FORMAT, "size": head.size, "root": head.root, "audit": head.audit,
        "signed_at": queries.iso(head.signed_at), "key": head.key, "signature": head.signature,
    }  # fmt: skip


def place_of(leaf: RecordLeaf, head: TreeHead) -> dict[str, Any]:
    """A leaf's place under a head that covers it."""
    path = tree.inclusion_proof(queries.leaf_hashes(head.size), leaf.index)
    return signed.place(leaf.code, leaf.index, leaf.digest, path, as_document(head))


def handed_out(since: int | None = None) -> dict[str, Any]:
    """The newest head with all public keys; ``since``: also the proof that it goes on from a head of that size.

    {"head" or None, "public_key": PEM of the head's key, "public_keys": {id: PEM}, "consistency": {"from", "path"}?}
    """
    head = queries.latest_head()
    known = {name: keys.public_pem(key).decode() for name, key in keys.head_keys().items()}
    answer: dict[str, Any] = {"head": None, "public_key": None, "public_keys": known}
    if head is not None:
        answer |= {"head": as_document(head), "public_key": known.get(head.key)}
        if since is not None and 0 < since <= head.size:
            path = tree.consistency_proof(queries.leaf_hashes(head.size), since)
            answer["consistency"] = {"from": since, "path": [step.hex() for step in path]}
    return answer

"""Heads of the stored tree: made when there is something new, handed out with what is needed to check them."""

from __future__ import annotations

import json
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.urls import reverse

from checkoffs.ledger.models import AuditEntry
from checkoffs.records import heads, keys, queries, signed
from checkoffs.records.models import TreeHead
from tests.records import make
from tests.world import World


@pytest.fixture(autouse=True)
def _keys(settings: Any, tmp_path: Path) -> None:
    settings.KEYS_DIR = tmp_path / "keys"


def test_a_head_covers_all_leaves_and_ties_the_audit_trail(world: World) -> None:
    """Signed, with the newest audit entry of that moment; nothing new, no new head."""
    leaf = make.sealed_infusion(world)
    last = AuditEntry.objects.order_by("-id").values_list("digest", flat=True).first()
    head = heads.head_over_all()
    assert (head.size, head.audit) == (1, last)
    assert head.root == leaf.leaf_hash  # RFC 6962, section 2.1: the root of one leaf is its hash
    document = heads.as_document(head)
    assert signed.head_holds(document, keys.head_keys()[head.key])
    assert heads.head_over_all() == head
    make.sealed_infusion(world, number=2)
    assert heads.head_over_all().size == 2
    assert AuditEntry.objects.filter(act="head.signed").count() == 2


def test_head_as_stored_is_the_head_as_signed(world: World) -> None:
    """Read back from the database, time zone and all."""
    make.sealed_infusion(world)
    heads.head_over_all()
    assert signed.head_holds(heads.as_document(TreeHead.objects.get()), keys.head_key().public_key())


def test_place_and_consistency(world: World) -> None:
    """Each record has a place under each head that covers it; a later head goes on from an earlier one."""
    first = make.sealed_infusion(world)
    before = heads.head_over_all()
    leaves = [first, *[make.sealed_infusion(world, number=number) for number in (2, 3)]]
    after = heads.head_over_all()
    for leaf in leaves:
        assert signed.place_holds(heads.place_of(leaf, after), leaf.digest)
    given = heads.handed_out(since=before.size)
    assert signed.heads_agree(heads.as_document(before), given["head"], given["consistency"]["path"])
    assert "consistency" not in heads.handed_out(since=4)


def test_anybody_may_have_the_head(world: World, signed_in: Any) -> None:
    """A stranger's download: the head, the keys, no student; before the first record there is none."""
    client = signed_in("anonymous")
    assert client.get(reverse("records:head")).json()["head"] is None
    make.sealed_infusion(world)
    heads.head_over_all()
    answer = client.get(reverse("records:head"), {"from": "1"})
    assert "attachment" in answer["Content-Disposition"]
    body = answer.json()
    assert signed.head_holds(body["head"], keys.read_public(body["public_key"].encode()))
    assert body["consistency"] == {"from": 1, "path": []}
    assert world.student.full_name not in answer.content.decode()
    for odd in ("0", "-1", "x", "9" * 40, "²"):
        assert "consistency" not in client.get(reverse("records:head"), {"from": odd}).json()


def test_commands(world: World) -> None:
    """``sign_head`` writes what the page gives; ``rotate_keys`` leaves two heads over the same leaves."""
    make.sealed_infusion(world)
    said = StringIO()
    call_command("sign_head", stdout=said)
    assert json.loads(said.getvalue()) == heads.handed_out()
    call_command("rotate_keys", stdout=StringIO())
    old, new = TreeHead.objects.order_by("id")
    assert old.root == new.root
    assert old.key != new.key
    for head in (old, new):
        assert signed.head_holds(heads.as_document(head), keys.head_keys()[head.key])
    newest = queries.latest_head()
    assert newest == new

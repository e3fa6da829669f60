"""What a record says, in the order in which it is read: from a snapshot to words, marks and times. Pure.

``paper(snapshot, digest)`` gives one dict that the page on screen and the PDF are both set from. It decides nothing
and adds nothing: what it says stands in the snapshot, so that a reader of the snapshot alone can check the paper.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from checkoffs.attempts import ribbon
from checkoffs.records import paper_steps as steps
from checkoffs.records import paper_words as words
from checkoffs.records.canonical import grouped
from checkoffs.records.kept_words import kept_lines
from checkoffs.records.reason_words import in_words
from checkoffs.records.terms import Terms

Json = dict[str, Any]
KINDS = {"record": "record", "amendment": "amendment to a record", "void": "void record"}


def paper(snapshot: Mapping[str, Any], digest: str) -> Json:
    """Everything a record shows. ``digest``: 64 hex digits of the snapshot's canonical bytes.

    Keys: title, kind, code, index, digest, outcome {code, word, icon}, change (amendment or void) or None, facts
    [{term, text}], reasons and also [{title, detail, evidence, number, critical, icon}], met [{text, icon}],
    sections, beside, others, checks, case, differences, moderated, signatures, attested, rule_text, versions.
    """
    zone = snapshot["program"]["time_zone"]
    scored = [sheet for sheet in snapshot["sheets"] if sheet["kind"] != "moderation"]
    first = scored[0] if scored else None
    terms = terms_of(snapshot)
    said = [in_words(reason, terms) for reason in snapshot["decision"]["reasons"]]
    return {
        "title": snapshot["procedure"]["title"],
        "kind": snapshot["kind"],
        "kind_word": KINDS[snapshot["kind"]],
        "code": snapshot["code"],
        "index": snapshot["index"],
        "institution": snapshot["program"]["institution"],
        "program": snapshot["program"]["name"],
        "sealed": words.moment(snapshot["sealed_at"], zone),
        "sealed_at": snapshot["sealed_at"],
        "student": snapshot["student"],
        "outcome": _outcome(snapshot["outcome"]),
        "decided": _outcome(snapshot["decision"]["outcome"]),
        "change": _change(snapshot, zone),
        "facts": _facts(snapshot, scored, zone),
        "no_show": snapshot["attempt"]["no_show"],
        "no_show_reason": snapshot["attempt"]["no_show_reason"],
        "opened_by": snapshot["attempt"]["opened_by"]["signature"],
        "practice": snapshot["attempt"]["purpose"] != "summative",
        "reasons": [reason for reason in said if reason["decides"]],
        "also": [reason for reason in said if not reason["decides"]],
        "met": [{"text": text, "icon": "performed"} for text in kept_lines(snapshot["decision"]["met"], terms)],
        "sections": steps.sections(snapshot, first["state"]) if first else [],
        "beside": steps.beside(snapshot, first["state"], first["events"]) if first else [],
        "others": [_other(snapshot, sheet) for sheet in scored[1:]],
        "witnesses": [sheet["evaluator"]["signature"] for sheet in scored],
        "differences": steps.differences(snapshot),
        "moderated": steps.moderated(snapshot),
        "case": snapshot["case"],
        "checks": _checks(snapshot, scored),
        "signatures": _signatures(snapshot, zone),
        "attested": _attested(scored, zone),
        "rule_text": snapshot["rule_text"],
        "versions": _versions(snapshot),
        "digest": digest,
        "digest_grouped": grouped(digest),
    }


def terms_of(snapshot: Mapping[str, Any]) -> Terms:
    """What the codes and ids of a snapshot are called."""
    checks = snapshot["case"]["checks"] if snapshot["case"] else []
    return Terms.of(snapshot["procedure"]["sections"], snapshot["rule"], checks)


def ribbons(snapshot: Mapping[str, Any], *, width: float, for_paper: bool) -> list[Json]:
    """[{"svg", "text"}]: the ribbon of the attempt, and of both sheets on one scale when there are two."""
    scored = [sheet for sheet in snapshot["sheets"] if sheet["kind"] != "moderation"]
    if not scored:
        return []
    limit = snapshot["decision"]["time"]["limit_ms"]
    titles = {section["id"]: section["title"] for section in snapshot["procedure"]["sections"]}
    state, second = scored[0]["state"], None
    if len(scored) > 1:
        differing = {row["number"] for row in steps.differences(snapshot)}
        ids = [key for key, number in steps.numbers(snapshot).items() if number in differing]
        second = ribbon.Second(state=scored[1]["state"], offset_ms=0, differs=ids)
    svg = ribbon.draw(state, snapshot["rule"], width=width, limit_ms=limit, second=second, for_paper=for_paper)
    sentences = ribbon.describe(state, snapshot["rule"], limit_ms=limit, titles=titles)
    return [{"svg": svg, "text": " ".join(sentences)}]


def place_lines(place: Mapping[str, Any], zone: str) -> Json:
    """A place under a signed tree head, for print: {"index", "size", "root", "signed", "key"}."""
    head = place["head"]
    return {
        "index": place["index"],
        "size": head["size"],
        "root": grouped(head["root"]),
        "signed": words.moment(head["signed_at"], zone),
        "key": head["key"],
    }


def _outcome(code: str) -> Json:
    return {"code": code, "word": words.OUTCOMES[code], "icon": words.OUTCOME_ICONS[code]}


def _change(snapshot: Mapping[str, Any], zone: str) -> Json | None:
    if snapshot["kind"] == "record":
        return None
    correction = snapshot.get("correction") or {}
    return {
        "code": snapshot["amends"]["code"],
        "digest": grouped(snapshot["amends"]["digest"]),
        "reason": snapshot["reason"],
        "author": snapshot["author"]["signature"],
        "when": words.moment(snapshot["sealed_at"], zone),
        "text": correction.get("text", ""),
        "outcome": _outcome(correction["outcome"]) if correction.get("outcome") else None,
    }


def _facts(snapshot: Mapping[str, Any], scored: list[Json], zone: str) -> list[Json]:
    attempt, procedure = snapshot["attempt"], snapshot["procedure"]
    began = scored[0]["state"]["started_wall"] if scored else None
    place = f", {attempt['place']}" if attempt["place"] else ""
    when = words.moment(began or attempt["opened_at"], zone) + place
    extra = "" if attempt["time_factor"] in ("1", "1.0", "1.00") else f", time × {attempt['time_factor'].rstrip('0')}"
    facts = [
        ("student", ", ".join(filter(None, [snapshot["student"]["name"], snapshot["student"]["number"]]))),
        ("evaluator", words.listed(sheet["evaluator"]["signature"] for sheet in scored) or "no sheet was opened"),
        ("when and where" if began else "entered", when),
        ("attempt", f"{attempt['number']}, {words.PURPOSES.get(attempt['purpose'], attempt['purpose'])}{extra}"),
        ("list", f"version {procedure['version']}, cohort {attempt['cohort']}"),
    ]
    return [{"term": term, "text": text} for term, text in facts]


def _other(snapshot: Mapping[str, Any], sheet: Json) -> Json:
    return {
        "signature": sheet["evaluator"]["signature"],
        "beside": steps.beside(snapshot, sheet["state"], sheet["events"]),
    }


def _checks(snapshot: Mapping[str, Any], scored: list[Json]) -> list[Json]:
    """A line for each stated value; with two sheets that heard the same, one line for both."""
    if snapshot["case"] is None:
        return []
    lines: dict[tuple[Any, ...], Json] = {}
    explained: set[str] = set()
    for check in snapshot["case"]["checks"]:
        heard = snapshot["sheets"][check["sheet"]]["evaluator"]["signature"] if len(scored) > 1 else ""
        key = (check["id"], check["said"], check["unit"])
        if key in lines:
            lines[key]["by"] += f" and {heard}"
            continue
        lines[key] = _check(check, heard, again=check["id"] in explained)
        explained.add(check["id"])
    return list(lines.values())


def _check(check: Json, heard: str, *, again: bool) -> Json:
    code = (check["verdict"] or {}).get("code")
    return {
        "label": check["label"],
        "by": heard,
        "said": words.value(check["said"], check["unit"]),
        "time": words.clock(check["at_ms"]),
        "expected": check["expected"],
        "accepted": words.accepted(check["accepted"]),
        "right": code in words.RIGHT,
        "verdict": words.VERDICTS.get(str(code), "not judged"),
        "icon": "open" if code is None else "performed" if code in words.RIGHT else "not_performed",
        "working": [] if again else words.working(check["working"]),
        "slips": [{"text": slip["text"], "working": words.working(slip["working"])} for slip in check["slips"][:2]],
    }


def _signatures(snapshot: Mapping[str, Any], zone: str) -> list[Json]:
    """[{"name", "role", "when", "how"}]: who signed a sheet, and who wrote the amendment or the void."""
    signed = [
        {
            "name": sheet["evaluator"]["signature"],
            "role": words.ROLES[sheet["kind"]],
            "when": words.moment(sheet["signed_at"], zone),
            "how": words.HOW.get(sheet["signed_how"], ""),
        }
        for sheet in snapshot["sheets"]
        if sheet["signed_at"]
    ]
    if snapshot["kind"] != "record":
        role = "author of this amendment" if snapshot["kind"] == "amendment" else "declared the attempt void"
        when = words.moment(snapshot["sealed_at"], zone)
        signed.append({"name": snapshot["author"]["signature"], "role": role, "when": when, "how": ""})
    return signed


def _attested(scored: Iterable[Json], zone: str) -> list[Json]:
    """What the student was shown, as the evaluator attests; the student signs nothing here."""
    return [
        {
            "when": words.moment(sheet["shown_at"], zone),
            "by": sheet["evaluator"]["signature"],
            "how": words.SHOWN.get(sheet["shown"], sheet["shown"]),
            "refused": sheet["shown"] == "refused",
            "statement": sheet["statement"],
        }
        for sheet in scored
        if sheet["shown"]
    ]


def _versions(snapshot: Mapping[str, Any]) -> str:
    versions, procedure = snapshot["versions"], snapshot["procedure"]
    calculators = f", calculators {versions['calculators']}" if versions.get("calculators") else ""
    return f"List version {procedure['version']} ({procedure['digest'][:16]}…), fold {versions['fold']}{calculators}"

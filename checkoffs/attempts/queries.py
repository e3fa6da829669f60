"""Reading attempts: what their sheets show, how they are decided, and which ones wait for whom.

Whoever shows many attempts calls ``decisions_of`` once instead of ``decision_of`` in a loop: its queries do not grow.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet, prefetch_related_objects

from checkoffs.attempts.eventlog import as_dict
from checkoffs.attempts.models import Attempt, Purpose, Sheet, SheetKind, State
from checkoffs.cases.models import CaseTemplate
from checkoffs.cases.queries import answers
from checkoffs.people.models import Program, User
from checkoffs.people.permissions import Access, Act
from checkoffs.procedures.content import scoring_rule
from checkoffs.procedures.models import ProcedureVersion
from checkoffs.scoring.decide import decide
from checkoffs.scoring.fold import fold
from checkoffs.scoring.rule import parse_rule
from checkoffs.scoring.rule_parts import Rule

Json = dict[str, Any]
_MOST_RULES = 200
_rules: dict[uuid.UUID, tuple[Json, Rule]] = {}


def rule_of(version: ProcedureVersion) -> Rule:
    """The scoring rule of a published version, read once in a process: versions never change."""
    return _rule(version)[1]


def rule_document(version: ProcedureVersion) -> Json:
    """The scoring rule document of a published version. Read it, never write into it."""
    return _rule(version)[0]


def _rule(version: ProcedureVersion) -> tuple[Json, Rule]:
    found = _rules.get(version.pk)
    if found is None:
        document = scoring_rule(version.content)
        found = (document, parse_rule(document))
        if len(_rules) >= _MOST_RULES:
            _rules.clear()
        _rules[version.pk] = found
    return found


def factor_text(factor: Decimal) -> str:
    """An extra-time factor as text: 1, 1.25, 1.5."""
    return format(factor.normalize(), "f")


def events_of(sheet: Sheet) -> list[Json]:
    """The events that count on a sheet, as the fold reads them: all but those that came after the signature."""
    return [as_dict(event) for event in sheet.events.all() if not event.late]


def late_events_of(sheet: Sheet) -> list[Json]:
    """Events that came after the signature, with the moment they came; they change nothing by themselves."""
    return [as_dict(e) | {"received_at": e.received_at} for e in sheet.events.all() if e.late]


def sheet_state(sheet: Sheet) -> Json:
    """What a sheet shows (the shape stands in ``checkoffs.scoring.state``)."""
    return fold(rule_of(sheet.attempt.version), events_of(sheet)).as_dict()


def scoring_inputs(attempt: Attempt) -> Json:
    """The arguments of ``checkoffs.scoring.decide`` for one attempt."""
    return _inputs([attempt])[0]


def decision_of(attempt: Attempt) -> Json:
    """The decision as the stored events give it now (the shape stands in ``checkoffs.scoring.decide``)."""
    return decide(**scoring_inputs(attempt)).as_dict()


def decisions_of(attempts: Iterable[Attempt]) -> dict[uuid.UUID, Json]:
    """The decisions of many attempts by id, with a constant number of queries."""
    listed = list(attempts)
    return {attempt.pk: decide(**inputs).as_dict() for attempt, inputs in zip(listed, _inputs(listed), strict=True)}


def preview_of(sheet: Sheet) -> Json:
    """The decision that one sheet alone would give: what its evaluator sees before signing, blind to all others."""
    attempt = sheet.attempt
    alone = {"id": str(sheet.pk), "kind": SheetKind.PRIMARY.value, "events": events_of(sheet)}
    return decide(
        rule_of(attempt.version),
        [alone],
        accommodation={"time_factor": factor_text(attempt.time_factor)},
        attempt_no=counting_number(attempt),
    ).as_dict()


def counting_number(attempt: Attempt) -> int:
    """Which counting attempt this is, as far as a cap on a passed retake asks; see ``scoring_inputs``."""
    return _attempt_numbers([attempt])[attempt.pk]


def _inputs(attempts: list[Attempt]) -> list[Json]:
    prefetch_related_objects(attempts, "version")
    sheets = list(Sheet.objects.filter(attempt__in=attempts).order_by("opened_at", "pk").prefetch_related("events"))
    numbers = _attempt_numbers(attempts)
    return [
        {
            "rule": rule_of(attempt.version),
            "sheets": [
                {"id": str(sheet.pk), "kind": sheet.kind, "events": events_of(sheet)}
                for sheet in sheets
                if sheet.attempt_id == attempt.pk and _counts(sheet)
            ],
            "verdicts": {},
            "accommodation": {"time_factor": factor_text(attempt.time_factor)},
            "attempt_no": numbers[attempt.pk],
        }
        for attempt in attempts
    ]


def _counts(sheet: Sheet) -> bool:
    """A second sheet is blind and counts for nothing until its evaluator signed it."""
    return sheet.kind != SheetKind.SECOND or sheet.signed_at is not None


def _attempt_numbers(attempts: list[Attempt]) -> dict[uuid.UUID, int]:
    """Which counting attempt each is: void ones, practice and feedback do not make the next one a retake.

    Asked only for procedures that cap a passed retake; all others get 1, which decides the same.
    """
    numbers = {attempt.pk: 1 for attempt in attempts}
    capped = [
        attempt
        for attempt in attempts
        if attempt.purpose == Purpose.SUMMATIVE and rule_of(attempt.version).score.retake_cap is not None
    ]
    if not capped:
        return numbers
    rows = Attempt.objects.filter(
        student__in={attempt.student_id for attempt in capped},
        version__procedure__in={attempt.version.procedure_id for attempt in capped},
        purpose=Purpose.SUMMATIVE,
    ).exclude(outcome="void")
    earlier = list(rows.values_list("student_id", "version__procedure_id", "number"))
    for attempt in capped:
        mine = (attempt.student_id, attempt.version.procedure_id)
        numbers[attempt.pk] += sum((s, p) == mine and n < attempt.number for s, p, n in earlier)
    return numbers


def unfinished_sheets_of(person: User) -> QuerySet[Sheet]:
    """The sheets this person still has to sign, oldest first."""
    return (
        Sheet.objects.filter(evaluator=person, signed_at=None, attempt__sealed_at=None)
        .exclude(kind=SheetKind.MODERATION)
        .select_related("attempt__student", "attempt__cohort", "attempt__version__procedure")
        .defer("attempt__version__content")
        .order_by("opened_at")
    )


def attempts_needing_moderation(access: Access) -> QuerySet[Attempt]:
    """Attempts this person may moderate or assign: of their cohorts, not their own, no sheet scored by them."""
    cohorts = access.cohorts(Act.MODERATE) | access.cohorts(Act.NAME_MODERATOR)
    scored = Sheet.objects.filter(evaluator=access.person).exclude(kind=SheetKind.MODERATION)
    return (
        Attempt.objects.filter(state=State.MODERATION, cohort__in=cohorts.values("pk"))
        .exclude(pk__in=scored.values("attempt"))
        .exclude(student=access.person)
        .select_related("student", "cohort", "version__procedure")
        .defer("version__content")
        .order_by("opened_at")
    )


def attempts_of_student(student: User) -> QuerySet[Attempt]:
    """All attempts of one student, newest first. Whether the asker may see them is the caller's question."""
    return (
        Attempt.objects.filter(student=student)
        .select_related("cohort", "version__procedure", "case")
        .prefetch_related("sheets__evaluator")
        .order_by("-opened_at")
    )


def sheets_to_show(access: Access) -> QuerySet[Sheet]:
    """Scoring sheets with all a tablet page needs, large documents left for when they are asked for."""
    return (
        Sheet.objects.exclude(kind=SheetKind.MODERATION)
        .select_related(
            "attempt__student", "attempt__cohort__program", "attempt__version", "attempt__case", "evaluator"
        )
        .defer("attempt__version__content", "attempt__case__answer_key", "attempt__case__content")
    )


def attempts_to_score(access: Access) -> QuerySet[Attempt]:
    """Attempts this person might score a further sheet of: of others, in their cohorts; as a student, practice."""
    practice = Q(cohort__in=access.cohorts(Act.SCORE_PRACTICE).values("pk"), purpose=Purpose.PRACTICE)
    return (
        Attempt.objects.filter(Q(cohort__in=access.cohorts(Act.SCORE).values("pk")) | practice)
        .exclude(student=access.person)
        .select_related("student", "cohort__program", "version__procedure")
        .defer("version__content")
    )


def newest_versions(programs: QuerySet[Program]) -> QuerySet[ProcedureVersion]:
    """The newest version of each procedure in use, by title; without the text, which is long."""
    newer = ProcedureVersion.objects.filter(procedure=OuterRef("procedure"), number__gt=OuterRef("number"))
    return (
        ProcedureVersion.objects.filter(
            ~Exists(newer), procedure__program__in=programs.values("pk"), procedure__retired_at=None
        )
        .select_related("procedure")
        .defer("content")
        .order_by("procedure__title", "pk")
    )


def suitable_templates(version: ProcedureVersion) -> list[CaseTemplate]:
    """Cases in use for a procedure that have an answer for each value its version asks for; all when it asks none."""
    asked = {check.id for check in rule_of(version).stated}
    templates = CaseTemplate.objects.filter(procedure=version.procedure_id, retired_at=None).order_by("title", "pk")
    return [template for template in templates if asked <= answers(template)]

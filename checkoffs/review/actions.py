"""What follows from a seal: tasks and permit; and what student and instructor do with them."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.utils import timezone

from checkoffs.attempts.models import Attempt, Permit
from checkoffs.attempts.opening import local_day
from checkoffs.ledger.actions import action, audit
from checkoffs.people.models import User
from checkoffs.people.permissions import Access, Act
from checkoffs.records.models import RecordLeaf
from checkoffs.records.queries import snapshot_of, standing_of
from checkoffs.review import plan, queries
from checkoffs.review.errors import ReviewError
from checkoffs.review.missed import review_of, teaching_of
from checkoffs.review.models import LONGEST_STATEMENT, Acknowledgement, FollowUp, OpenTask


def catch_up(*, by: User | None = None) -> int:
    """Draw tasks and permit of every leaf that has none yet; done twice it changes nothing. Answers how many.

    The records room cannot call this: it stands below. So it runs after each seal as a task, and again whenever a
    page is opened that stands on it; each leaf is a transaction of its own.
    """
    followed = 0
    for leaf in list(queries.not_followed_up()):
        followed += follow_up(by=by, leaf=leaf)
    return followed


@action
def follow_up(*, by: User | None, leaf: RecordLeaf) -> bool:
    """Draw tasks and permit of one leaf; False when another worker did."""
    _, made = FollowUp.objects.get_or_create(leaf=leaf, defaults={"at": timezone.now()})
    if not made:
        return False
    attempt = Attempt.objects.select_related("version__procedure", "cohort__program", "student").get(
        pk=leaf.attempt_id
    )
    drawn = _draw_tasks(attempt)
    last = queries.last_counting(attempt.student_id, attempt.version.procedure_id)
    if last is not None and last.pk != attempt.pk:
        drawn += _draw_tasks(last)
    permit = _write_permit(attempt, last)
    detail = {"leaf": leaf.code, "tasks": drawn} | _permit_detail(permit)
    audit(by=by, act="review.followed_up", subject=attempt, program=attempt.cohort.program, detail=detail)
    return True


def _draw_tasks(attempt: Attempt) -> int:
    """Make the tasks of an attempt what its standing document gives; what was done or confirmed stays so."""
    standing = standing_of(attempt)
    snapshot = snapshot_of(standing) if standing else None
    if snapshot is None:
        return 0
    planned = plan.tasks(review_of(snapshot, teaching_of(attempt.version.content)))
    for task in planned:
        words = {"step": task.step, "text": task.text, "detail": task.detail, "required": task.required}
        OpenTask.objects.update_or_create(
            attempt=attempt, key=task.key, defaults=words, create_defaults=words | {"student": attempt.student}
        )
    gone = OpenTask.objects.filter(attempt=attempt).exclude(key__in=[task.key for task in planned])
    gone.filter(done_at=None, confirmed_by=None).delete()
    gone.update(required=False)
    return len(planned)


def _write_permit(attempt: Attempt, last: Attempt | None) -> Permit:
    """The permit as the last counting attempt leaves it; tasks of earlier attempts no longer stand in the way."""
    procedure = attempt.version.procedure_id
    older = OpenTask.objects.filter(student=attempt.student_id, attempt__version__procedure=procedure, required=True)
    older.exclude(attempt=last).update(required=False)
    leave = plan.Leave(True, None, "") if last is None else _leave(last)
    permit, _ = Permit.objects.update_or_create(
        student_id=attempt.student_id,
        procedure_id=procedure,
        defaults={"may": leave.may, "not_before": leave.not_before, "because": leave.because},
    )
    return permit


def _leave(last: Attempt) -> plan.Leave:
    day = local_day(last.cohort, last.opened_at)
    after = day + timedelta(days=1)
    waiting = OpenTask.objects.filter(attempt=last, required=True, confirmed_by=None).values_list("key", flat=True)
    outcome = getattr(last, "standing_outcome", "") or ""
    return plan.leave(outcome, last.number, day, waiting, f"{after:%a} {after.day} {after:%b} {after.year}")


def _permit_detail(permit: Permit) -> dict[str, Any]:
    not_before = permit.not_before.isoformat() if permit.not_before else None
    return {"may": permit.may, "not_before": not_before}


@action
def acknowledge(*, by: User, leaf: RecordLeaf, statement: str = "") -> Acknowledgement:
    """The student has seen a document: receipt, not agreement. Once; a second time gives the first receipt again.

    Raises ReviewError: ``not_yours``, ``too_long``.
    """
    if leaf.attempt.student_id != by.pk:
        raise ReviewError("not_yours", "Only the student acknowledges their own record.")
    if len(statement) > LONGEST_STATEMENT:
        raise ReviewError("too_long", f"A statement has at most {LONGEST_STATEMENT} characters.")
    receipt, made = Acknowledgement.objects.get_or_create(
        leaf=leaf, defaults={"student": by, "statement": statement.strip(), "at": timezone.now()}
    )
    if made:
        detail = {"code": leaf.code, "statement": bool(receipt.statement)}
        audit(by=by, act="record.acknowledged", subject=leaf, program=leaf.attempt.cohort.program, detail=detail)
    return receipt


@action
def mark_done(*, by: User, task: OpenTask, done: bool) -> OpenTask:
    """The student says a task is done, or takes that back. Raises ReviewError: ``not_yours``, ``confirmed``."""
    held = _locked(task)
    if held.student_id != by.pk:
        raise ReviewError("not_yours", "Only the student marks their own task.")
    if held.confirmed_by_id is not None:
        raise ReviewError("confirmed", "This task is confirmed already.")
    held.done_at = timezone.now() if done else None
    held.save(update_fields=["done_at"])
    _audit_task(by, held, "task.done" if done else "task.not_done")
    return held


@action
def confirm(*, by: User, task: OpenTask, confirmed: bool) -> OpenTask:
    """An instructor has seen the task done, or takes the confirmation back; the permit follows.

    Raises ReviewError: ``own_task``, ``may_not``.
    """
    held = _locked(task)
    if held.student_id == by.pk:
        raise ReviewError("own_task", "Nobody confirms their own task.")
    if not Access.of(by).may(Act.CONFIRM_TASKS, cohort=held.attempt.cohort):
        raise ReviewError("may_not", f"{by} may not confirm tasks of {held.attempt.cohort}.")
    held.confirmed_by = by if confirmed else None
    held.done_at = held.done_at or timezone.now()
    held.save(update_fields=["confirmed_by", "done_at"])
    last = queries.last_counting(held.student_id, held.attempt.version.procedure_id)
    permit = _write_permit(held.attempt, last)
    _audit_task(by, held, "task.confirmed" if confirmed else "task.confirmation_taken_back", permit)
    return held


def _locked(task: OpenTask) -> OpenTask:
    rows = OpenTask.objects.select_for_update(of=("self",), no_key=True)
    return rows.select_related("attempt__cohort__program", "attempt__version").get(pk=task.pk)


def _audit_task(by: User, task: OpenTask, act: str, permit: Permit | None = None) -> None:
    detail = {"attempt": str(task.attempt_id), "key": task.key} | (_permit_detail(permit) if permit else {})
    audit(by=by, act=act, subject=task, program=task.attempt.cohort.program, detail=detail)

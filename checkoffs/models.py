"""Index of tables: imports each room's models for Django. Nobody else imports this module."""

from checkoffs.attempts.models import Attempt, Event, Permit, Sheet
from checkoffs.cases.models import CaseTemplate, DrawnCase
from checkoffs.days.models import Day, Slot, Station
from checkoffs.ledger.models import AuditEntry, Disposal
from checkoffs.people.models import Cohort, Membership, Program, SignInLink, User
from checkoffs.procedures.models import Procedure, ProcedureDraft, ProcedureVersion
from checkoffs.records.models import RecordContent, RecordLeaf, RecordPdf, TreeHead
from checkoffs.reports.models import Export, StepMark
from checkoffs.review.models import Acknowledgement, FollowUp, OpenTask

__all__ = [
    "Acknowledgement",
    "Attempt",
    "AuditEntry",
    "CaseTemplate",
    "Cohort",
    "Day",
    "Disposal",
    "DrawnCase",
    "Event",
    "Export",
    "FollowUp",
    "Membership",
    "OpenTask",
    "Permit",
    "Procedure",
    "ProcedureDraft",
    "ProcedureVersion",
    "Program",
    "RecordContent",
    "RecordLeaf",
    "RecordPdf",
    "Sheet",
    "SignInLink",
    "Slot",
    "Station",
    "StepMark",
    "TreeHead",
    "User",
]

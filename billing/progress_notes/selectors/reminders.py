"""A progress note comes due: its clinician is told, and the owner of one that is overdue."""

from __future__ import annotations

from uuid import UUID

from billing.authorizations.models import Visit
from billing.payers.selectors import payers_asking_notes, practice_today
from billing.progress_notes.domain.due import ProgressNoteDue
from billing.progress_notes.domain.jobs import DUE_REMINDER, OVERDUE_REMINDER
from billing.progress_notes.domain.terms import PeriodStatus
from billing.progress_notes.models import TreatmentPeriod
from billing.progress_notes.selectors.periods import held_by, note_writers, period_due
from billing.self_pay.selectors import pays_for_themself
from clients.reminders.domain.kinds import Question, ReminderKind, Wanted
from clients.reminders.domain.rules import StaffRule
from practice.people_and_places.models.practitioners import Practitioner
from practice.policy.selectors import practice_get


def _asked(asked: Question) -> tuple[TreatmentPeriod, ProgressNoteDue] | None:
    """What a payer asks of the period now; None where no payer does, or a note covers it."""
    if not payers_asking_notes(today := practice_today()):
        return None
    row = TreatmentPeriod.objects.filter(pk=asked.about, begins_on__isnull=False).first()
    if row is None or row.last_day is None or pays_for_themself(row.client_id, row.last_day):
        return None
    found = period_due(row, today, held_by([row.client_id]))
    return None if found is None else (row, found)


def _due(asked: Question, _: None) -> Wanted | None:
    """From the payer's warning on; where it counts calendar days, those are waited for."""
    found = _asked(asked)
    if found is None:
        return None
    row, due = found
    at = asked.now
    if due.standing.status is PeriodStatus.RUNNING:
        rule = payers_asking_notes(practice_today())[due.payer_id].progress_note_rule
        if due.standing.due_on is None or rule is None:
            return None
        at = asked.rule.goes_at(
            due.standing.due_on, practice_get().zone, days_before=rule.warn_calendar_days
        )
    return Wanted(
        occasion=due.standing.begins_on.isoformat(),
        day=due.standing.due_on or due.standing.days[-1],
        at=at,
        told=f"A progress note for {due.payer_name} is due {_when(due)}.",
        practitioner_id=_clinician(row),
    )


def _overdue(asked: Question, _: None) -> Wanted | None:
    """Once the day is known by which it is due: some days after that."""
    found = _asked(asked)
    if found is None or found[1].standing.due_on is None:
        return None
    due_on = found[1].standing.due_on
    return Wanted(
        occasion=found[1].standing.begins_on.isoformat(),
        day=due_on,
        at=asked.rule.goes_at(due_on, practice_get().zone, days_before=-asked.rule.lead_days),
        told=f"A progress note for {found[1].payer_name} was due by {due_on} and is not on record.",
        practitioner_id=_clinician(found[0]),
    )


def _when(due: ProgressNoteDue) -> str:
    if due.standing.due_on is not None:
        return f"by {due.standing.due_on}"
    left = due.standing.days_left
    return f"by visit day {len(due.standing.days) + left}; {len(due.standing.days)} are over"


def _clinician(row: TreatmentPeriod) -> UUID | None:
    """Who of those that may write it, and are still here, treated the client last in the period;
    None: the owner alone is told."""
    able = note_writers()
    here = set(Practitioner.objects.filter(is_active=True).values_list("pk", flat=True))
    visits = Visit.objects.filter(
        client_id=row.client_id, discipline=row.discipline, local_date__gte=row.begins_on
    ).order_by("-local_date")
    for sessions in visits.values_list("sessions", flat=True):
        for one in reversed(sessions):
            who = UUID(one["practitioner_id"])
            if one["credential"] in able and who in here:
                return who
    return None


PROGRESS_NOTE_DUE = ReminderKind(job=DUE_REMINDER, settings=StaffRule, decide=_due)
PROGRESS_NOTE_OVERDUE = ReminderKind(job=OVERDUE_REMINDER, settings=StaffRule, decide=_overdue)

"""Sessions at which a progress note for a payer is due: read once for all of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date
from uuid import UUID

from billing.authorizations.domain.terms import DISCIPLINE_OF, Discipline
from billing.payers.selectors import payers_asking_notes
from billing.progress_notes.domain.counting import DisciplineNotes
from billing.progress_notes.domain.due import ProgressNoteDue, due_at_visit, visit_warning
from billing.progress_notes.domain.terms import PeriodStatus
from billing.progress_notes.models import TreatmentPeriod
from billing.progress_notes.selectors.periods import held_by, notes_of
from billing.self_pay.selectors import self_paying_on
from practice.clock import clock
from practice.core.localtime import local_day
from practice.core.reasons import Reason
from practice.core.terms import Credential
from sessions.calendar.domain.session_state import TIME_HOLDING_STATUSES
from sessions.calendar.models import Session
from sessions.calendar.selectors.gaps import GapSource

Key = tuple[UUID, Discipline]
CODES = {
    PeriodStatus.COMING: "pn-soon",
    PeriodStatus.DUE: "pn-due",
    PeriodStatus.OVERDUE: "pn-late",
}
NO_NOTES = DisciplineNotes()


def due_at_sessions(sessions: Sequence[Session]) -> dict[UUID, ProgressNoteDue]:
    """The note that a payer asks for first at each of some sessions, by their id; those of which
    none does are left out. As many queries for one as for a hundred, none where no payer asks."""
    asking = {day: payers_asking_notes(day) for day in {row.local_date for row in sessions}}
    if not any(asking.values()):
        return {}
    clients = {row.client_id for row in sessions}
    held = held_by(clients)
    notes, booked = _notes(clients), _booked(clients)
    found = {}
    for row in _not_self_paying(sessions):
        key = (row.client_id, _discipline(row.credential))
        due = due_at_visit(
            key[1],
            row.local_date,
            notes.get(key, NO_NOTES),
            booked[key],
            held.get(row.client_id, ()),
            asking[row.local_date],
        )
        if due is not None:
            found[row.pk] = due
    return found


def _note_gaps(sessions: Sequence[Session]) -> Mapping[UUID, list[str]]:
    found = due_at_sessions(sessions)
    return {
        key: [CODES[due.standing.status]]
        for key, due in found.items()
        if due.standing.status in CODES
    }


def note_due_at_opening(session: Session) -> list[Reason]:
    """What the practitioner who opens a session is warned of."""
    due = due_at_sessions([session]).get(session.pk)
    reason = visit_warning(due, local_day(clock.now(), session.zone)) if due else None
    return [reason] if reason else []


def _notes(clients: set[UUID]) -> dict[Key, DisciplineNotes]:
    rows = TreatmentPeriod.objects.filter(client_id__in=clients)
    return {(row.client_id, Discipline(row.discipline)): notes_of(row) for row in rows}


def _booked(clients: set[UUID]) -> defaultdict[Key, list[date]]:
    """The days on which sessions of some clients hold a time, by discipline."""
    rows = Session.objects.filter(client_id__in=clients, status__in=TIME_HOLDING_STATUSES)
    found: defaultdict[Key, list[date]] = defaultdict(list)
    for client_id, credential, day in rows.values_list("client_id", "credential", "local_date"):
        found[client_id, _discipline(credential)].append(day)
    return found


def _not_self_paying(sessions: Sequence[Session]) -> list[Session]:
    these = Session.objects.filter(pk__in=[row.pk for row in sessions])
    paying = set(
        these.annotate(self_paying=self_paying_on("local_date"))
        .filter(self_paying=True)
        .values_list("pk", flat=True)
    )
    return [row for row in sessions if row.pk not in paying]


def _discipline(credential: str) -> Discipline:
    return DISCIPLINE_OF[Credential(credential)]


PROGRESS_NOTE_GAPS = GapSource(
    {
        "pn-late": "A progress note for the payer is overdue: ask the practitioner.",
        "pn-due": "A progress note for the payer is due at this visit: ask the practitioner.",
        "pn-soon": "A progress note for the payer is due soon: ask the practitioner.",
    },
    _note_gaps,
)

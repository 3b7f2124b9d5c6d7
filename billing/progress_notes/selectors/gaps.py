"""Sessions at which a progress note for a payer is due: read once for all of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date
from uuid import UUID

from billing.authorizations.domain.terms import DISCIPLINE_OF, Discipline
from billing.payers.selectors import payers_asking_notes
from billing.progress_notes.domain.counting import DisciplineNotes
from billing.progress_notes.domain.due import due_at_visit
from billing.progress_notes.domain.terms import PeriodStatus
from billing.progress_notes.models import TreatmentPeriod
from billing.progress_notes.selectors.periods import held_by, notes_of
from billing.self_pay.selectors import self_paying_on
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


def _note_gaps(sessions: Sequence[Session]) -> Mapping[UUID, list[str]]:
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
            row.local_date,
            notes.get(key, NO_NOTES),
            booked[key],
            held.get(row.client_id, ()),
            asking[row.local_date],
        )
        code = CODES.get(due.standing.status) if due else None
        if code:
            found[row.pk] = [code]
    return found


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

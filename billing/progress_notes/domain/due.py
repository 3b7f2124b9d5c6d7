"""Which of a client's payers asks for a progress note first, and how it is said. Pure.

Booking, the day sheet, the list of what is due and the reminders all ask here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from billing.authorizations.domain.day_warnings import count_of
from billing.authorizations.domain.state import AuthorizationBalance
from billing.authorizations.domain.terms import Discipline
from billing.payers.domain.rules import PayerRulesById
from billing.progress_notes.domain.counting import (
    DisciplineNotes,
    PeriodStanding,
    standing_on,
)
from billing.progress_notes.domain.terms import THERAPIES, PeriodStatus
from practice.core.reasons import Reason

MOST_URGENT_FIRST = tuple(reversed(PeriodStatus))
WHAT_TO_DO = "A clinician of the discipline writes it and records that it was written."


@dataclass(frozen=True, slots=True)
class HeldAuthorization:
    """Whose authorization a client has, and for which days; both count."""

    payer_id: UUID
    starts_on: date
    last_day: date

    def touches(self, first: date, last: date) -> bool:
        """Whether it covers any day of a period: a day of it that is not covered counts too."""
        return self.starts_on <= last and self.last_day >= first


def held_in(balance: AuthorizationBalance) -> list[HeldAuthorization]:
    """The client's authorizations, of which payer and for which days."""
    return [
        HeldAuthorization(one.payer_id, one.terms.starts_on, one.last_day)
        for one in balance.authorizations.values()
    ]


@dataclass(frozen=True, slots=True)
class ProgressNoteDue:
    """The payer that asks first for the note of a running period."""

    payer_id: UUID
    payer_name: str
    source: str
    standing: PeriodStanding

    @property
    def urgency(self) -> tuple[int, date, str, UUID]:
        """The least comes first."""
        return (
            MOST_URGENT_FIRST.index(self.standing.status),
            self.standing.due_on or date.max,
            self.payer_name,
            self.payer_id,
        )


def first_due(
    day: date,
    period: Sequence[date],
    held: Iterable[HeldAuthorization],
    asking: PayerRulesById,
) -> ProgressNoteDue | None:
    """The most urgent note of a discipline on a day; None where no payer asks for one.

    ``asking``: the payers that ask for notes, by their rules of that day.
    """
    if not period:
        return None
    found = []
    for payer_id, rules in asking_of(period[0], day, held, asking).items():
        rule = rules.progress_note_rule
        standing = standing_on(day, period, rule) if rule is not None else None
        if rule is not None and standing is not None:
            found.append(ProgressNoteDue(payer_id, rules.name, rule.source, standing))
    return min(found, key=lambda one: one.urgency, default=None)


def asking_of(
    first: date, last: date, held: Iterable[HeldAuthorization], asking: PayerRulesById
) -> PayerRulesById:
    """Those of the payers that ask for notes whose authorization touches a period."""
    payers = {one.payer_id for one in held if one.touches(first, last)}
    return {key: asking[key] for key in payers & asking.keys()}


def due_at_visit(
    discipline: Discipline,
    day: date,
    notes: DisciplineNotes,
    booked: Iterable[date],
    held: Iterable[HeldAuthorization],
    asking: PayerRulesById,
) -> ProgressNoteDue | None:
    """The same at a visit on a day: it and the days booked before it count as treatment days. None
    where the discipline is no therapy."""
    if discipline not in THERAPIES:
        return None
    expected = {day, *(one for one in booked if one < day)}
    return first_due(day, notes.running_period(expected), held, asking)


def visit_warning(found: ProgressNoteDue, today: date) -> Reason | None:
    """What a booking is told, in words for everyone; None while the note is far off."""
    standing, name = found.standing, found.payer_name
    if standing.status is PeriodStatus.RUNNING:
        return None
    if standing.status is PeriodStatus.COMING:
        text = f"A progress note for {name} is due {_by(standing)}."
    elif standing.status is PeriodStatus.DUE:
        text = f"A progress note for {name} is due at this visit{_counted(standing)}. {WHAT_TO_DO}"
    else:
        since = "has been overdue since" if _is_past(standing, today) else "is due by the visit of"
        text = f"A progress note for {name} {since} {standing.due_on}. {WHAT_TO_DO}"
    return Reason(code=f"progress_note_{standing.status}", text=text, source=found.source)


def _is_past(standing: PeriodStanding, today: date) -> bool:
    return standing.due_on is not None and standing.due_on < today


def _by(standing: PeriodStanding) -> str:
    if standing.due_on is not None:
        return f"by {standing.due_on}"
    return f"in {count_of(standing.days_left, 'more treatment day')} after this one"


def _counted(standing: PeriodStanding) -> str:
    if standing.days_left:
        return ""
    return f": treatment day {len(standing.days)} since {standing.begins_on}"

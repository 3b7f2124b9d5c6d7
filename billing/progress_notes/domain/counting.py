"""When a payer's progress note is due: counting the treatment days of a period. Pure.

CMS Pub. 100-02, Medicare Benefit Policy Manual, ch. 15 section 220: a progress report at least
once every 10 treatment days; a treatment day is a calendar day with treatment. Of section
220.3.D from memory, to be confirmed: an evaluation counts as treatment does, several sessions of
a day are one, absences are none; the period ends with a day that the clinician chooses or with
the tenth treatment day, whichever is earlier, and the next treatment day begins the next one,
whenever the note is written.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from billing.authorizations.domain.events import VisitCalculated
from billing.authorizations.domain.terms import CoverageStatus, UncoveredReason
from billing.payers.domain.rules import ProgressNoteRule
from billing.progress_notes.domain.terms import THERAPIES, PeriodStatus

ONLY_UNPAYABLE = (UncoveredReason.CREDENTIAL_NOT_PAID,)


def is_treatment_day(visit: VisitCalculated) -> bool:
    """Whether a visit is a treatment day: of a therapy, covered or not, but with more than the
    time of those whom the payer never pays, and with a note that still stands."""
    unpayable = visit.covered is CoverageStatus.NOT and visit.uncovered_reasons == ONLY_UNPAYABLE
    return bool(visit.sessions) and not unpayable and visit.discipline in THERAPIES


@dataclass(frozen=True, slots=True)
class DisciplineNotes:
    """A client's treatment days in one discipline, and the last days of the periods of the notes
    that stand."""

    days: frozenset[date] = frozenset()
    covered_until: frozenset[date] = frozenset()

    def running_period(self, expected: Iterable[date] = ()) -> tuple[date, ...]:
        """The treatment days that no note covers yet, in order, with those that are expected."""
        return self.between(max(self.covered_until, default=date.min), date.max, expected)

    def period_until(self, last: date) -> tuple[date, ...]:
        """The treatment days of a period that ends with a day, whichever notes follow it."""
        earlier = [one for one in self.covered_until if one < last]
        return self.between(max(earlier, default=date.min), last)

    def between(self, after: date, last: date, expected: Iterable[date] = ()) -> tuple[date, ...]:
        """The treatment days after one day and up to another, each once, in order."""
        return tuple(sorted(day for day in {*self.days, *expected} if after < day <= last))


@dataclass(frozen=True, slots=True)
class PeriodStanding:
    """How a period stands on a day: its treatment days up to then, and the day by which its note
    is due, None while nobody can know it."""

    status: PeriodStatus
    days: tuple[date, ...]
    due_on: date | None
    days_left: int

    @property
    def begins_on(self) -> date:
        """Its first treatment day."""
        return self.days[0]


def standing_on(day: date, period: Sequence[date], rule: ProgressNoteRule) -> PeriodStanding | None:
    """How the running period stands on a day by a payer's rule; None before its first treatment
    day. ``days_left``: treatment days until the one by which the note is due."""
    days = tuple(one for one in period if one <= day)
    if not days:
        return None
    left = max(0, rule.treatment_days - len(days))
    limits = [] if left else [days[rule.treatment_days - 1]]
    if rule.calendar_days is not None:
        limits.append(days[0] + timedelta(days=rule.calendar_days - 1))
    due_on = min(limits, default=None)
    return PeriodStanding(_status(day, due_on, left, rule), days, due_on, left)


def _status(day: date, due_on: date | None, left: int, rule: ProgressNoteRule) -> PeriodStatus:
    if due_on is not None and day > due_on:
        return PeriodStatus.OVERDUE
    if due_on == day:
        return PeriodStatus.DUE
    near = due_on is not None and due_on - day <= timedelta(days=rule.warn_calendar_days)
    return PeriodStatus.COMING if near or left <= rule.warn_treatment_days else PeriodStatus.RUNNING

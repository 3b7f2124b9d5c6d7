"""When a progress note is due: the manual's definitions as examples, and by brute force.

CMS Pub. 100-02 ch. 15 section 220 (a report at least once every 10 treatment days; a treatment
day is a calendar day with treatment); section 220.3.D, from memory: the first period begins with
the first day of treatment or evaluation, ends with a day that the clinician chooses or the tenth
treatment day, and the next treatment day begins the next one.
"""

from __future__ import annotations

from datetime import date, timedelta
from uuid import uuid4

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs

from billing.authorizations.domain.events import TreatedSession, VisitCalculated
from billing.authorizations.domain.terms import CoverageStatus, Discipline, UncoveredReason
from billing.payers.domain.rules import ProgressNoteRule
from billing.progress_notes.domain.counting import (
    DisciplineNotes,
    is_treatment_day,
    standing_on,
)
from billing.progress_notes.domain.terms import PeriodStatus
from practice.core.terms import Credential
from tests.billing.practice_rows import note_on

EVALUATED = date(2026, 10, 5)
"""A Monday."""
TEN = ProgressNoteRule(source="contract")
RUNNING, COMING, DUE, OVERDUE = PeriodStatus


def weekdays(count: int, first: date = EVALUATED) -> list[date]:
    """So many weekdays, of a client who is treated five times a week."""
    every = (first + timedelta(days=number) for number in range(2 * count + 2))
    return [day for day in every if day.weekday() < 5][:count]


def notes(days: list[date], *covered: date) -> DisciplineNotes:
    return DisciplineNotes(frozenset(days), frozenset(covered))


def status(days: list[date], on: date, rule: ProgressNoteRule = TEN, *covered: date) -> str | None:
    standing = standing_on(on, notes(days, *covered).running_period(), rule)
    return standing.status if standing else None


def visit(*credentials: Credential, reasons: tuple[UncoveredReason, ...] = ()) -> VisitCalculated:
    """A day of physical therapy that nothing covers."""
    sessions = []
    for number, credential in enumerate(credentials):
        note = note_on(number)
        sessions.append(
            TreatedSession(
                session_id=note.session_id,
                note_id=note.note_id,
                facility_id=note.facility_id,
                practitioner_id=note.practitioner_id,
                credential=credential,
                minutes=(),
                signed_at=note.ended_at,
                signed_by=uuid4(),
                started_at=note.started_at,
                ended_at=note.ended_at,
            )
        )
    return VisitCalculated(
        visit_id=uuid4(),
        local_date=EVALUATED,
        discipline=Discipline.PHYSICAL_THERAPY,
        sessions=tuple(sessions),
        uncovered_reasons=reasons,
    )


def test_the_evaluation_day_is_the_first_and_the_tenth_treatment_day_is_the_last() -> None:
    """Evaluated on a Monday, treated on weekdays: due on Friday of the second week."""
    days = weekdays(10)
    assert days[-1] == date(2026, 10, 16)
    assert status(days[:9], days[9]) == COMING
    assert status(days, days[9]) == DUE
    assert status(days, days[9] + timedelta(days=1)) == OVERDUE
    standing = standing_on(days[9], notes(days).running_period(), TEN)
    assert standing
    assert (standing.due_on, standing.days_left, standing.begins_on) == (days[9], 0, days[0])


def test_a_note_written_earlier_ends_the_period_and_the_next_treatment_day_begins_one() -> None:
    """The clinician chose Friday of the first week: the next ten days begin on Monday."""
    days = weekdays(15)
    friday = days[4]
    assert status(days[:14], days[14], TEN, friday) == COMING
    assert status(days, days[14], TEN, friday) == DUE
    period = notes(days, friday).running_period()
    assert (period[0], len(period)) == (days[5], 10)


def test_days_without_treatment_are_none_however_many_lie_between() -> None:
    """Absences: five weeks away do not bring the note nearer."""
    before, after = weekdays(5), weekdays(4, date(2026, 11, 16))
    assert status([*before, *after], after[-1]) == COMING
    assert status([*before, *after, date(2026, 11, 20)], date(2026, 11, 20)) == DUE


def test_several_sessions_of_a_day_are_one_treatment_day() -> None:
    assert is_treatment_day(visit(*[Credential.PHYSICAL_THERAPIST] * 2))
    assert len(notes(weekdays(3) * 2).running_period()) == 3


@pytest.mark.parametrize(
    ("reasons", "counts"),
    [
        ((), True),
        ((UncoveredReason.NO_AUTHORIZATION,), True),
        ((UncoveredReason.NO_VISITS_LEFT,), True),
        ((UncoveredReason.AWAITING_CO_SIGNATURE,), True),
        ((UncoveredReason.CREDENTIAL_NOT_PAID, UncoveredReason.NO_UNITS_LEFT), True),
        ((UncoveredReason.CREDENTIAL_NOT_PAID,), False),
    ],
)
def test_an_uncovered_day_counts_but_one_of_unpayable_work_alone_does_not(
    reasons: tuple[UncoveredReason, ...], counts: bool
) -> None:
    """Ruling 41."""
    assert is_treatment_day(visit(Credential.PHYSICAL_THERAPIST, reasons=reasons)) is counts


@pytest.mark.parametrize("discipline", Discipline)
def test_a_day_of_training_or_massage_is_none_for_whatever_reason_it_is_uncovered(
    discipline: Discipline,
) -> None:
    """Nobody of theirs may write a note: the payer would wait for it for ever."""
    uncovered = visit(Credential.PHYSICAL_THERAPIST, reasons=(UncoveredReason.NO_AUTHORIZATION,))
    therapy = discipline in (Discipline.PHYSICAL_THERAPY, Discipline.OCCUPATIONAL_THERAPY)
    assert is_treatment_day(structs.replace(uncovered, discipline=discipline)) is therapy


def test_work_that_is_partly_unpaid_is_a_treatment_day_and_one_without_sessions_is_none() -> None:
    partly = visit(Credential.PHYSICAL_THERAPIST, reasons=(UncoveredReason.CREDENTIAL_NOT_PAID,))
    assert is_treatment_day(structs.replace(partly, covered=CoverageStatus.PARTLY))
    assert not is_treatment_day(visit())


def test_by_calendar_days_where_the_payer_asks_for_that_too() -> None:
    """The first treatment day is the first of thirty; whichever comes first."""
    rule = ProgressNoteRule(source="contract", calendar_days=30)
    days = weekdays(3)
    last = EVALUATED + timedelta(days=29)
    assert status(days, last - timedelta(days=8), rule) == RUNNING
    assert status(days, last - timedelta(days=7), rule) == COMING
    assert status(days, last, rule) == DUE
    assert status(days, last + timedelta(days=1), rule) == OVERDUE
    assert status(weekdays(10), weekdays(10)[-1], rule) == DUE


def test_it_is_warned_of_from_so_many_treatment_days_before_it_on() -> None:
    assert status(weekdays(7), weekdays(7)[-1]) == RUNNING
    assert status(weekdays(8), weekdays(8)[-1]) == COMING
    never = ProgressNoteRule(source="contract", warn_treatment_days=0)
    assert status(weekdays(9), weekdays(9)[-1], never) == RUNNING


def test_before_the_first_treatment_day_and_after_the_last_covered_one_nothing_runs() -> None:
    assert status(weekdays(3), EVALUATED - timedelta(days=1)) is None
    assert status(weekdays(3), weekdays(3)[-1], TEN, weekdays(3)[-1]) is None


def test_what_a_note_covers_is_the_days_since_the_one_before_it() -> None:
    days = weekdays(10)
    found = notes(days, days[3], days[9]).period_until(days[7])
    assert found == tuple(days[4:8])
    assert notes(days, days[7]).period_until(days[7]) == tuple(days[:8])


SOME_DAY = st.integers(0, 40).map(lambda number: EVALUATED + timedelta(days=number))


@given(
    days=st.frozensets(SOME_DAY),
    covered=st.frozensets(SOME_DAY, max_size=3),
    on=SOME_DAY,
    limit=st.integers(1, 12),
    calendar=st.none() | st.integers(1, 35),
)
def test_counting_agrees_with_walking_through_the_calendar(
    days: frozenset[date],
    covered: frozenset[date],
    on: date,
    limit: int,
    calendar: int | None,
) -> None:
    """A statement of its own: day after day, a counter that a covered day sets back."""
    counted, begun, due_on, last_note = 0, None, None, max(covered, default=None)
    day = EVALUATED
    while day <= on:
        if day in days and (last_note is None or day > last_note):
            counted += 1
            begun = begun or day
            if counted == limit:
                due_on = day
        day += timedelta(days=1)
    if begun is not None and calendar is not None:
        by_calendar = begun + timedelta(days=calendar - 1)
        due_on = by_calendar if due_on is None else min(due_on, by_calendar)
    rule = ProgressNoteRule(
        source="", treatment_days=limit, calendar_days=calendar, warn_treatment_days=0,
        warn_calendar_days=0,
    )  # fmt: skip
    found = standing_on(on, DisciplineNotes(days, covered).running_period(), rule)
    assert (found is None) is (begun is None)
    if found is not None:
        assert (len(found.days), found.begins_on, found.due_on) == (counted, begun, due_on)
        assert (found.status is OVERDUE) is (due_on is not None and on > due_on)
        assert (found.status is DUE) is (due_on == on)

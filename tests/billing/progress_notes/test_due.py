"""Which payer asks first, what a booking is told, and what may be recorded."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from billing.authorizations.domain.terms import Discipline
from billing.payers.domain.rules import PayerRules, ProgressNoteRule
from billing.progress_notes.domain.counting import DisciplineNotes
from billing.progress_notes.domain.decisions import (
    Author,
    PayersOfNotes,
    RecordProgressNote,
    record_progress_note,
)
from billing.progress_notes.domain.due import (
    HeldAuthorization,
    due_at_visit,
    first_due,
    visit_warning,
)
from billing.progress_notes.domain.events import ProgressNoteRecorded
from billing.progress_notes.domain.terms import KeptAs, PeriodStatus
from practice.core.decisions import Actor, Context
from practice.core.reasons import Rejected
from practice.core.terms import Credential, Role
from tests.billing.progress_notes.test_counting import EVALUATED, TEN, notes, weekdays

LAKESHORE, HARBOR = UUID(int=7), UUID(int=8)
AUTHOR = Author(uuid4(), Credential.PHYSICAL_THERAPIST, Discipline.PHYSICAL_THERAPY)
CTX = Context(
    now=datetime(2026, 11, 1, tzinfo=UTC), actor=Actor(id=uuid4(), role=Role.PRACTITIONER),
    new_id=uuid4,
)  # fmt: skip
TODAY = date(2026, 11, 1)


def asks(payer_id: UUID = LAKESHORE, name: str = "Lakeshore", **rule: Any) -> PayerRules:
    given = ProgressNoteRule(source="contract of 2026-01-04", **rule)
    return PayerRules(payer_id=payer_id, name=name, revision=1, progress_note_rule=given)


def held(payer_id: UUID = LAKESHORE, first: int = 0, last: int = 90) -> HeldAuthorization:
    return HeldAuthorization(
        payer_id, EVALUATED + timedelta(days=first), EVALUATED + timedelta(days=last)
    )


def told(day: date, known: DisciplineNotes, *booked: date, today: date | None = None) -> Any:
    found = due_at_visit(AUTHOR.discipline, day, known, booked, [held()], {LAKESHORE: asks()})
    return visit_warning(found, today or day) if found else None


def test_a_booking_is_told_of_the_visit_at_which_the_note_is_due() -> None:
    days = weekdays(11)
    assert told(days[6], notes(days[:6])) is None
    soon = told(days[7], notes(days[:7]))
    assert soon.code == "progress_note_coming"
    assert "in 2 more treatment days after this one" in soon.text
    due = told(days[9], notes(days[:9]))
    assert due.code == "progress_note_due"
    assert "due at this visit: treatment day 10 since 2026-10-05" in due.text
    assert due.source == "contract of 2026-01-04"
    late = told(days[10], notes(days[:10]))
    assert late.code == "progress_note_overdue"
    assert "overdue since 2026-10-16" in late.text


def test_what_is_booked_before_the_visit_counts_and_what_is_booked_later_does_not() -> None:
    days = weekdays(12)
    assert told(days[9], notes(days[:6]), *days[6:9]).code == "progress_note_due"
    assert told(days[6], notes(days[:6]), *days[7:]) is None
    ahead = told(days[11], notes(days[:6]), *days[6:11], today=days[5])
    assert (ahead.code, f"is due by the visit of {days[9]}" in ahead.text) == (
        "progress_note_overdue",
        True,
    )


def test_a_visit_that_a_note_covers_already_is_told_nothing() -> None:
    days = weekdays(10)
    assert told(days[9], notes(days, days[9])) is None


def test_the_payer_that_asks_first_is_named() -> None:
    days = weekdays(6)
    asking = {LAKESHORE: asks(), HARBOR: asks(HARBOR, "Harbor", treatment_days=6)}
    found = first_due(days[-1], days, [held(), held(HARBOR)], asking)
    assert found
    assert (found.payer_name, found.standing.status) == ("Harbor", PeriodStatus.DUE)
    found = first_due(days[-1], days, [held()], asking)
    assert found
    assert found.payer_name == "Lakeshore"


@pytest.mark.parametrize(
    ("first", "last", "asked"),
    [(-90, -1, False), (-90, 0, True), (3, 90, True), (4, 90, False)],
)
def test_a_payer_asks_of_a_period_that_its_authorization_touches(
    first: int, last: int, asked: bool
) -> None:
    """Of four weekdays; a day of them that is not covered counts all the same."""
    days = weekdays(4)
    found = first_due(days[-1], days, [held(LAKESHORE, first, last)], {LAKESHORE: asks()})
    assert (found is not None) is asked


def record(known: DisciplineNotes, until: date, *asking: PayerRules, **more: Any) -> Any:
    command = RecordProgressNote(covers_until=until, kept_as=KeptAs.PAPER, **more)
    payers = PayersOfNotes({one.payer_id: one for one in asking}, [held(), held(HARBOR, 30)])
    (made,) = record_progress_note(command, AUTHOR, known, payers, TODAY, CTX)
    return made


def refusal(*args: Any, **more: Any) -> Rejected:
    with pytest.raises(Rejected) as refused:
        record(*args, **more)
    return refused.value


def test_a_note_written_late_is_recorded_for_its_own_period() -> None:
    days = weekdays(12)
    made = record(notes(days), days[9], asks())
    assert isinstance(made, ProgressNoteRecorded)
    assert (made.covers_until, made.written_on) == (days[9], TODAY)
    assert (made.author_id, made.discipline) == (AUTHOR.practitioner_id, AUTHOR.discipline)


def test_a_period_is_no_longer_than_the_payers_rule_lets_it_be() -> None:
    """It ends with the tenth treatment day at the latest; the answer names that day."""
    days = weekdays(12)
    found = refusal(notes(days), days[10], asks())
    assert (found.code, found.extra["covers_until"]) == ("period_too_long", str(days[9]))
    assert record(notes(days), days[10], asks(treatment_days=11)).covers_until == days[10]
    assert record(notes(days), days[11]).covers_until == days[11]
    later = asks(HARBOR, "Harbor", treatment_days=3)
    assert record(notes(days), days[9], later).covers_until == days[9]
    assert record(notes(days, days[9]), days[11], asks()).covers_until == days[11]


def test_what_cannot_be_is_refused_with_what_to_do() -> None:
    days = weekdays(10)
    covered = notes(days, days[9])
    assert refusal(covered, days[9]).code == "period_covered"
    assert refusal(covered, days[9] + timedelta(days=3)).code == "no_treatment_day"
    assert refusal(notes([]), days[0]).code == "no_treatment_day"
    late = refusal(notes(days), days[0], written_on=TODAY + timedelta(days=1))
    assert set(late.fields) == {"written_on"}
    assert record(notes(days), days[0], written_on=days[0]).written_on == days[0]
    early = refusal(notes(days), days[1], written_on=days[0])
    assert set(early.fields) == {"covers_until"}


def test_the_rule_is_ten_treatment_days_unless_the_payer_says_otherwise() -> None:
    assert (TEN.treatment_days, TEN.calendar_days) == (10, None)

"""The query of the list finds what counting finds, at each boundary of the rule."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from billing.authorizations.domain.terms import Discipline
from billing.authorizations.models import Authorization
from billing.payers.selectors import practice_today
from billing.progress_notes.domain.projections import period_id
from billing.progress_notes.domain.terms import PeriodStatus
from billing.progress_notes.models import TreatmentPeriod
from billing.progress_notes.selectors.periods import (
    asked_for,
    held_by,
    period_due,
    standing_so,
)
from practice.clock import clock
from tests.billing.practice_rows import payer

pytestmark = pytest.mark.django_db


def asks(name: str = "Lakeshore", **rule: Any) -> UUID:
    whole = {"source": "contract", "treatment_days": 4, "warn_treatment_days": 1, **rule}
    return UUID(str(payer(name, progress_note_rule=whole).pk))


def period(payers: list[UUID], *ago: int, ended: int | None = None) -> TreatmentPeriod:
    """A client treated so many days ago, with an authorization of each payer."""
    client_id, today = uuid4(), practice_today()
    days = sorted(today - timedelta(days=one) for one in ago)
    for one in payers:
        last = today + timedelta(days=30) if ended is None else today - timedelta(days=ended)
        Authorization.objects.create(
            id=uuid4(), client_id=client_id, version=1, payer_id=one, number="PA",
            starts_on=today - timedelta(days=200), ends_on=last, last_day=last,
            recorded_at=clock.now(),
        )  # fmt: skip
    return TreatmentPeriod.objects.create(
        id=period_id(client_id, Discipline.PHYSICAL_THERAPY), client_id=client_id, version=1,
        discipline="physical_therapy", days=[one.isoformat() for one in days],
        begins_on=days[0], last_day=days[-1], day_count=len(days),
    )  # fmt: skip


def found(row: TreatmentPeriod, payer_id: UUID | None = None) -> list[PeriodStatus]:
    """The statuses under which the list has it, and as counting has it."""
    rows, today = TreatmentPeriod.objects.filter(pk=row.pk), practice_today()
    listed = [one for one in PeriodStatus if standing_so(rows, today, one, payer_id).exists()]
    due = period_due(row, today, held_by([row.client_id]), payer_id)
    assert listed == ([due.standing.status] if due else [])
    assert asked_for(rows, today, list(PeriodStatus), payer_id).exists() is bool(due)
    return listed


@pytest.mark.parametrize("calendar", [None, 1, 9, 10, 11, 15, 16, 40])
@pytest.mark.parametrize(
    "ago",
    [(9,), (9, 8), (9, 8, 7), (9, 3, 2, 0), (9, 3, 2, 1), (9, 4, 3, 2, 0), (9, 5, 4, 3, 2), (0,)],
)
def test_a_query_finds_what_counting_finds(ago: tuple[int, ...], calendar: int | None) -> None:
    rule = asks(calendar_days=calendar, warn_calendar_days=5)
    assert len(found(period([rule], *ago))) == 1


def test_of_two_payers_the_most_urgent_says_how_it_stands(db: None) -> None:
    soon, now = asks(), asks("Harbor", treatment_days=3)
    row = period([soon, now], 9, 8, 0)
    assert found(row) == [PeriodStatus.DUE]
    assert found(row, soon) == [PeriodStatus.COMING]
    assert found(row, now) == [PeriodStatus.DUE]


def test_a_payer_whose_authorization_ended_before_the_period_asks_nothing(db: None) -> None:
    rule = asks()
    assert found(period([rule], 9, 8, 7, 6, ended=10)) == []
    assert found(period([rule], 9, 8, 7, 6, ended=9)) == [PeriodStatus.OVERDUE]
    assert found(period([], 9, 8, 7, 6)) == []

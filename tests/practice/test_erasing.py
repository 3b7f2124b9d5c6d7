"""Ordering, agreeing, closing, destroying: who may, and what is not done twice. Pure."""

from __future__ import annotations

from datetime import UTC, date, datetime
from uuid import UUID

import pytest

from practice.audit.domain.decisions import (
    close_record,
    order_erasure,
    record_destruction,
    retained_until,
    withdraw_order,
)
from practice.audit.domain.events import (
    ErasureOrdered,
    ErasureOrderWithdrawn,
    RecordClosed,
    RecordKeyDestroyed,
)
from practice.audit.domain.state import ERASURE, ErasureStatus
from practice.core.decisions import Actor
from practice.core.events import Event
from practice.core.reasons import Rejected
from practice.core.terms import Role
from tests.dsl import OWNER, PRACTITIONER, context, recorded

ORDER = UUID(int=500)
OTHER_OWNER = Actor(id=UUID(int=14), role=Role.OWNER)
ORDERED = ErasureOrdered(
    erasure_id=ORDER, reason="asked for", retained_until=None, before_retention=False
)
CLOSED = RecordClosed(
    erasure_id=ORDER,
    ordered_by=OWNER.id,
    retained_facts={},
    ordered_at=None,
    retained_until=None,
    before_retention=False,
)
TODAY = date(2026, 3, 2)


def state_after(*events: Event) -> ErasureStatus:
    builder = ERASURE.initial()
    for version, one in enumerate(events, 1):
        ERASURE.apply(builder, recorded(one, version, actor=OWNER.id))
    return ERASURE.freeze(builder)


@pytest.mark.parametrize(
    ("retained", "early"), [(date(2026, 3, 1), False), (TODAY, True), (None, False)]
)
def test_the_last_day_of_the_retention_is_still_before_its_end(retained, early: bool) -> None:
    def order(**more):
        return order_erasure(state_after(), "asked for", context(), retained=retained, **more)

    if early:
        with pytest.raises(Rejected) as refusal:
            order()
        assert refusal.value.code == "retention_not_passed"
    (event,) = order(before_retention=True)
    assert event.before_retention is early


def test_an_order_that_stands_is_not_repeated() -> None:
    assert order_erasure(state_after(ORDERED), "again", context()) == []


def test_an_order_is_taken_back_while_it_stands_and_not_after_the_closing() -> None:
    assert withdraw_order(state_after(), context()) == []
    (event,) = withdraw_order(state_after(ORDERED), context())
    assert event == ErasureOrderWithdrawn(erasure_id=ORDER)
    with pytest.raises(Rejected) as refusal:
        withdraw_order(state_after(ORDERED, CLOSED), context())
    assert refusal.value.code == "record_closed"


@pytest.mark.parametrize(
    ("actor", "owners", "agrees"),
    [
        (OWNER, 1, False),
        (OWNER, 2, False),
        (OTHER_OWNER, 2, True),
        (PRACTITIONER, 2, False),
        (PRACTITIONER, 1, True),
        (Actor(id=UUID(int=15), role=Role.FRONT_DESK), 1, False),
    ],
)
def test_a_second_person_agrees(actor: Actor, owners: int, agrees: bool) -> None:
    def close():
        return close_record(state_after(ORDERED), {}, owners=owners, context=context(actor=actor))

    if agrees:
        (event,) = close()
        assert (event.erasure_id, event.ordered_by) == (ORDER, OWNER.id)
        return
    with pytest.raises(Rejected) as refusal:
        close()
    assert refusal.value.code == "second_person_needed"


def test_nothing_is_closed_without_an_order_and_nothing_twice() -> None:
    with pytest.raises(Rejected) as refusal:
        close_record(state_after(), {}, owners=1, context=context())
    assert refusal.value.code == "no_erasure_order"
    assert close_record(state_after(ORDERED, CLOSED), {}, owners=1, context=context()) == []


def test_the_destruction_is_recorded_once() -> None:
    (event,) = record_destruction(state_after(CLOSED))
    assert event == RecordKeyDestroyed(erasure_id=ORDER)
    assert record_destruction(state_after(CLOSED, event)) == []
    assert record_destruction(state_after()) == []


@pytest.mark.parametrize(
    ("last", "until"),
    [
        (datetime(2020, 2, 29, 12, tzinfo=UTC), date(2027, 2, 28)),
        (datetime(2021, 2, 28, 12, tzinfo=UTC), date(2028, 2, 28)),
        (datetime(2017, 6, 1, 12, tzinfo=UTC), date(2024, 6, 1)),
    ],
)
def test_a_record_is_kept_so_many_years_to_the_day(last: datetime, until: date) -> None:
    assert retained_until(last, 7) == until


def test_a_leap_day_stays_one_where_the_year_has_one() -> None:
    assert retained_until(datetime(2020, 2, 29, tzinfo=UTC), 8) == date(2028, 2, 29)

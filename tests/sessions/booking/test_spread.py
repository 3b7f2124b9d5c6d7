"""The order in which open times are offered: even over days and hours, whole, and resumable."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import islice
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sessions.booking.domain.open_times import OpenDay, OpenRun
from sessions.booking.domain.spread import (
    Offered,
    OfferOrder,
    OpenPlaces,
    Step,
    spread_order,
    visiting_order,
    walk,
)
from tests.sessions.booking.test_open_times import asked

PLACE, OTHER_PLACE = UUID(int=301), UUID(int=302)
FIRST, BEGIN = date(2026, 3, 2), Step(0, 0)
DAYS = [FIRST + timedelta(days=n) for n in range(28)]
counts = st.lists(st.integers(0, 5), min_size=1, max_size=9)


def opened(per_day: list[int]) -> dict[date, OpenPlaces]:
    """Days with so many starts at two facilities, half an hour apart from 09:00 on."""
    found: dict[date, OpenPlaces] = {}
    for number, count in enumerate(per_day):
        nine = 29_400_000 + number * 1440
        runs = [OpenRun(UUID(int=1), nine, count)] if count else []
        later = [OpenRun(UUID(int=2), nine + 15, count // 2)] if count > 1 else []
        found[FIRST + timedelta(days=number)] = [
            (PLACE, OpenDay(runs, asked(), None)),
            (OTHER_PLACE, OpenDay(later, asked(), None)),
        ]
    return found


def going(order: OfferOrder, per_day: list[int], start: Step = BEGIN) -> list[tuple[Step, Offered]]:
    days = opened(per_day)
    steps = walk(order, visiting_order(order, list(days)), days.__getitem__, start)
    return [(step, one) for step, one in steps if one is not None]


@pytest.mark.parametrize("number", [0, 1, 2, 3, 7, 8, 28, 365])
def test_an_order_that_is_spread_names_everything_once(number: int) -> None:
    assert sorted(spread_order(number)) == list(range(number))


def test_every_beginning_of_it_reaches_over_the_whole() -> None:
    """Of 28 days the first four lie in the four weeks, one in each."""
    assert {n // 7 for n in spread_order(28)[:4]} == {0, 1, 2, 3}


@given(counts, st.sampled_from(OfferOrder))
def test_the_walk_offers_each_open_time_once(per_day: list[int], order: OfferOrder) -> None:
    found = [one for _, one in going(order, per_day)]
    every = {
        (day, pk, open_day.at(n))
        for day, places in opened(per_day).items()
        for pk, open_day in places
        for n in range(open_day.count)
    }
    assert len(found) == len(every)
    assert {(one.day, one.facility_id, one.slot) for one in found} == every


@given(counts, st.sampled_from(OfferOrder), st.integers(1, 4))
def test_pages_that_go_on_from_a_step_are_the_walk(
    per_day: list[int], order: OfferOrder, size: int
) -> None:
    whole = going(order, per_day)
    paged: list[tuple[Step, Offered]] = []
    start: Step | None = Step(0, 0)
    while start is not None:
        page = list(islice(going(order, per_day, start), size + 1))
        paged += page[:size]
        start = page[size][0] if len(page) > size else None
    assert paged == whole


def test_by_time_they_come_in_order_of_time() -> None:
    found = [one.slot.begin for _, one in going(OfferOrder.TIME, [3, 0, 4])]
    assert found == sorted(found)


def test_a_first_page_that_is_spread_is_of_all_weeks_and_of_many_hours() -> None:
    """Ten half-hours each of 28 days: twenty offers lie on twenty days, morning to end."""
    first = [one for _, one in going(OfferOrder.SPREAD, [10] * 28)[:20]]
    assert len({one.day for one in first}) == 20
    assert {(one.day - FIRST).days // 7 for one in first} == {0, 1, 2, 3}
    assert len({one.slot.begin.time() for one in first}) >= 8


def test_only_the_days_of_a_page_are_looked_at() -> None:
    days, looked = opened([4] * 28), []

    def open_on(day: date) -> OpenPlaces:
        looked.append(day)
        return days[day]

    steps = walk(OfferOrder.SPREAD, visiting_order(OfferOrder.SPREAD, DAYS), open_on, Step(0, 0))
    list(islice(steps, 5))
    assert len(looked) == 5

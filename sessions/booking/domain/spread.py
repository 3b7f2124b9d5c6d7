"""In which order open times are offered: over the whole of the asked days, or by time. Pure.

Offers that are spread go round the days again and again, each time with one more of every day;
days, and the times of a day, are taken in an order of which every beginning is evenly spread (van
der Corput, Proc. Kon. Ned. Akad. v. Wetensch. 38, 1935). A page is a piece of that walk, and where
it goes on is told by two numbers.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import lru_cache
from itertools import count
from typing import NamedTuple
from uuid import UUID

from sessions.booking.domain.open_times import OpenDay, OpenSlot


class OfferOrder(StrEnum):
    """SPREAD: over the asked days and the times of the day; TIME: the earliest first."""

    SPREAD = "spread"
    TIME = "time"


class Step(NamedTuple):
    """A place in the walk: how many of the day's offers come before it, and which day."""

    before: int
    day: int


@dataclass(frozen=True, slots=True)
class Offered:
    """An open time at one of the facilities."""

    facility_id: UUID
    day: date
    slot: OpenSlot


OpenPlaces = Sequence[tuple[UUID, OpenDay]]
"""What is open on one day, by facility."""


@lru_cache(maxsize=512)
def spread_order(number: int) -> tuple[int, ...]:
    """0 up to ``number`` so that every beginning of it is evenly spread."""
    bits = max(number - 1, 0).bit_length()
    found = (int(f"{n:0{bits}b}"[::-1], 2) if bits else 0 for n in range(1 << bits))
    return tuple(one for one in found if one < number)


def visiting_order(order: OfferOrder, days: Sequence[date]) -> list[date]:
    """The asked days in the order in which they are gone through."""
    if order is OfferOrder.TIME:
        return list(days)
    return [days[n] for n in spread_order(len(days))]


def walk(
    order: OfferOrder, days: Sequence[date], open_on: Callable[[date], OpenPlaces], start: Step
) -> Iterator[tuple[Step, Offered | None]]:
    """The offers of days in their visiting order, from a step on, each with its step; None where a
    day has no more of them."""
    going = _by_time if order is OfferOrder.TIME else _spread
    return going(days, open_on, start)


def _by_time(
    days: Sequence[date], open_on: Callable[[date], OpenPlaces], start: Step
) -> Iterator[tuple[Step, Offered | None]]:
    for number in range(start.day, len(days)):
        found = sorted(
            (
                Offered(facility_id, days[number], slot)
                for facility_id, open_day in open_on(days[number])
                for slot in open_day.in_order()
            ),
            key=lambda one: (one.slot.begin, one.slot.practitioner_id, one.facility_id),
        )
        before = start.before if number == start.day else 0
        for place, one in enumerate(found[before:], before):
            yield Step(place, number), one
        if not found:
            yield Step(0, number), None


def _spread(
    days: Sequence[date], open_on: Callable[[date], OpenPlaces], start: Step
) -> Iterator[tuple[Step, Offered | None]]:
    first = start.day
    for before in count(start.before):
        left = first > 0
        for number in range(first, len(days)):
            places = open_on(days[number])
            of_day = sum(one.count for _, one in places)
            left = left or before < of_day
            offered = None
            if before < of_day:
                # Else every day would begin with the same hour of it.
                turned = (before + days[number].toordinal()) % of_day
                offered = _at(days[number], places, spread_order(of_day)[turned])
            yield Step(before, number), offered
        first = 0
        if not left:
            return


def _at(day: date, places: OpenPlaces, place: int) -> Offered:
    for facility_id, open_day in places:
        if place < open_day.count:
            return Offered(facility_id, day, open_day.at(place))
        place -= open_day.count
    raise IndexError(place)

"""What every race here has: a guard that is lifted, and the fault that then shows."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import Any
from unittest import mock
from uuid import UUID

import pytest

from practice.core.reasons import Rejected
from practice.people_and_places.locks import PlaceLocks, lock_rows
from practice.people_and_places.models.facilities import Room
from practice.people_and_places.models.practitioners import Practitioner
from tests.builders import Api
from tests.races.meeting import Meeting

ROUNDS = 20
"""Of a race with its guard: as often as it may be, nothing goes wrong."""
TRIES = 3
"""Of a control: the first shows it; the others are for a machine that stood still meanwhile."""


def shown_within_rounds(violated: Callable[[int], bool], *meetings: Meeting) -> None:
    """The control: with the guard lifted the fault shows, since the threads meet where it was."""
    met = []
    for number in range(TRIES):
        for one in meetings:
            one.renew()
        if violated(number):
            return
        met.append([one.met for one in meetings])
    pytest.fail(
        f"nothing went wrong in {TRIES} rounds (did they meet: {met}): the race proves nothing"
    )


def broken(results: list[Any]) -> list[Exception]:
    """What ended in anything but success or a refusal."""
    return [one for one in results if isinstance(one, Exception) and not isinstance(one, Rejected)]


def refused(results: list[Any]) -> list[str]:
    """The codes of the refusals; nothing may have ended otherwise than so or in success."""
    assert broken(results) == []
    return [one.code for one in results if isinstance(one, Rejected)]


def quiet(api: Api) -> Api:
    """Requests whose breakdown is an answer of 500, not an exception."""
    api.client.raise_request_exception = False
    return api


@contextmanager
def places_unlocked() -> Iterator[None]:
    """The guard off: practitioners and rooms are read and not locked."""

    def unlocked(places: PlaceLocks) -> None:
        found = (Practitioner.objects.in_bulk(places.ids), Room.objects.in_bulk(places.ids))
        places.practitioners, places.rooms = found

    with mock.patch.object(PlaceLocks, "lock", unlocked):
        yield


class UnorderedPlaces(PlaceLocks):
    """The order off: one row after another as they were named, and after the first a meeting.

    Two who name the same rows the other way round each hold then what the other asks for next.
    """

    def __init__(
        self,
        meeting: Meeting,
        practitioner_ids: Iterable[UUID | None] = (),
        room_ids: Iterable[UUID | None] = (),
    ) -> None:
        self.meeting = meeting
        self.named = list(practitioner_ids), list(room_ids)
        super().__init__(*self.named)

    def lock(self) -> None:
        """As they were named."""
        people, rooms = self.named
        for one in filter(None, people):
            self.practitioners |= lock_rows(Practitioner, frozenset({one}))
            self.meeting.wait()
        for one in filter(None, rooms):
            self.rooms |= lock_rows(Room, frozenset({one}))

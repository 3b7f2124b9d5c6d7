"""Sessions to come that no one can hold: the place is closed for good, the practitioner gone; and
those in a room that is out of use."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from uuid import UUID

from clients.permissions.domain.inputs import PlaceBar
from practice.people_and_places.selectors.kept import rooms_in_use
from sessions.calendar.models import Session
from sessions.calendar.selectors.gaps import GapSource

CODES = {
    PlaceBar.FACILITY_CLOSED.value: "facility_closed_for_good",
    PlaceBar.PRACTITIONER_LEFT.value: "practitioner_left",
    PlaceBar.PRACTITIONER_ELSEWHERE.value: "practitioner_elsewhere",
}


ROOM_OUT_OF_USE = "room_out_of_use"


def _found(sessions: Sequence[Session]) -> Mapping[UUID, Sequence[str]]:
    """As the flag tells it, which each row bears; of rooms, as they are now."""
    places = {row.facility_id for row in sessions}
    rooms = {one.pk for place in places for one in rooms_in_use(place)}
    found: dict[UUID, list[str]] = {}
    for row in sessions:
        told = [CODES[one["code"]] for one in row.flag_reasons if one["code"] in CODES]
        found[row.pk] = told if row.flagged else []
        if row.room_id is not None and row.room_id not in rooms:
            found[row.pk].append(ROOM_OUT_OF_USE)
    return found


PLACE_GAPS = GapSource(
    {
        "facility_closed_for_good": (
            "The facility is closed for good: move it elsewhere, or call the client."
        ),
        "practitioner_left": ("The practitioner has left: move it to another, or call the client."),
        "practitioner_elsewhere": (
            "The practitioner does not work there any more: move it to another, or call the client."
        ),
        ROOM_OUT_OF_USE: "The room is out of use: choose another room.",
    },
    _found,
    frozenset(CODES.values()),
)

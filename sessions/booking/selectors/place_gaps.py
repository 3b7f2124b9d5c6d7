"""Sessions to come that no one can hold: the place is closed for good, the practitioner gone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from uuid import UUID

from clients.permissions.domain.inputs import PlaceBar
from sessions.calendar.models import Session
from sessions.calendar.selectors.gaps import GapSource

CODES = {
    PlaceBar.FACILITY_CLOSED.value: "facility_closed_for_good",
    PlaceBar.PRACTITIONER_LEFT.value: "practitioner_left",
    PlaceBar.PRACTITIONER_ELSEWHERE.value: "practitioner_elsewhere",
}


def _found(sessions: Sequence[Session]) -> Mapping[UUID, Sequence[str]]:
    """As the flag tells it, which each row bears: nothing is read."""
    return {
        row.pk: [CODES[one["code"]] for one in row.flag_reasons if one["code"] in CODES]
        for row in sessions
        if row.flagged
    }


PLACE_GAPS = GapSource(
    {
        "facility_closed_for_good": (
            "The facility is closed for good: move it elsewhere, or call the client."
        ),
        "practitioner_left": ("The practitioner has left: move it to another, or call the client."),
        "practitioner_elsewhere": (
            "The practitioner does not work there any more: move it to another, or call the client."
        ),
    },
    _found,
)

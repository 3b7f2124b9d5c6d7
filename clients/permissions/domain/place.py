"""Whether a session can be held there at all: not at a facility that is closed for good, nor with
a practitioner who has left or does not work at that facility."""

from __future__ import annotations

from collections.abc import Iterator

from clients.permissions.domain.findings import PRACTICE_POLICY, PermissionFinding
from clients.permissions.domain.inputs import PermissionFacts, PlaceBar
from clients.permissions.domain.settings import PermissionSettings
from practice.core.reasons import Reason
from practice.core.terms import Mode

TEXTS = {
    PlaceBar.FACILITY_CLOSED: "The facility is closed for good: plan the session elsewhere.",
    PlaceBar.PRACTITIONER_LEFT: (
        "The practitioner does not work here any more: plan the session with another."
    ),
    PlaceBar.PRACTITIONER_ELSEWHERE: (
        "The practitioner does not work at that facility: plan the session with another."
    ),
}


def place_reason(bar: PlaceBar) -> Reason:
    """The reason of a bar, in words that every role may read."""
    return Reason(code=bar.value, text=TEXTS[bar], source=PRACTICE_POLICY)


def for_session(
    facts: PermissionFacts, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Nothing is held where nobody can be, by hand or by word."""
    for bar in facts.place_bars:
        yield PermissionFinding(Mode.NOT_TODAY, place_reason(bar))

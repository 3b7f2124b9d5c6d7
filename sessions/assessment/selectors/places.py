"""With whom, where and on which day a session is judged, and whether it can be held there."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from clients.permissions.domain.inputs import PlaceBar
from sessions.assessment.selectors.practice_rows import PracticeRows
from sessions.calendar.domain.session_state import TIME_HOLDING_STATUSES, SessionState


@dataclass(frozen=True, slots=True)
class AssessmentPlace:
    """With whom, where and on which local day: what law and people are read for.

    ``to_be_held``: a session of which something is still to come, so that whether the facility
    is open and the practitioner works there counts too.
    """

    practitioner_id: UUID
    facility_id: UUID
    day: date
    to_be_held: bool = False


def place_of_session(session: SessionState) -> AssessmentPlace:
    """Where a session is booked."""
    return AssessmentPlace(
        session.practitioner_id,
        session.facility_id,
        session.local_date,
        to_be_held=session.status in TIME_HOLDING_STATUSES,
    )


def place_bars(practice: PracticeRows, place: AssessmentPlace) -> tuple[PlaceBar, ...]:
    """Why it cannot be held there; of a session that took place nothing is asked."""
    if not place.to_be_held:
        return ()
    bars: list[PlaceBar] = []
    if not practice.facility(place.facility_id).is_active:
        bars.append(PlaceBar.FACILITY_CLOSED)
    if not practice.person(place.practitioner_id).works_here:
        bars.append(PlaceBar.PRACTITIONER_LEFT)
    elif not practice.works_at(place.practitioner_id, place.facility_id):
        bars.append(PlaceBar.PRACTITIONER_ELSEWHERE)
    return tuple(bars)

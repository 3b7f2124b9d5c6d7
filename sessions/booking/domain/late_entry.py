"""What a session that is entered late contradicts: it is kept as it was, and said. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from practice.core.reasons import Reason
from practice.core.terms import Mode
from sessions.booking.domain.commands import Attendance, BookingFacts, EnterLateSession
from sessions.calendar.domain.event_texts import MODE_WORDS
from sessions.calendar.domain.terms import PRACTITIONER_ELSEWHERE


class Ended(StrEnum):
    """What of a place is there no more, now that a session of an earlier day is entered."""

    FACILITY = "facility_closed_for_good"
    PRACTITIONER = "practitioner_left"
    ELSEWHERE = PRACTITIONER_ELSEWHERE
    ROOM = "room_out_of_use"
    KIND = "kind_out_of_use"


ENDED_TEXTS = {
    Ended.FACILITY: "This facility is closed for good",
    Ended.PRACTITIONER: "This practitioner does not work here any more",
    Ended.ELSEWHERE: "This practitioner does not work at that facility",
    Ended.ROOM: "This room is out of use",
    Ended.KIND: "This kind of session is not offered any more",
}


@dataclass(frozen=True, slots=True)
class EndedPlace:
    """``on``: the facility's day on which it ended; None: that is not known."""

    what: Ended
    on: date | None = None


def ended_reason(ended: EndedPlace, day: date) -> Reason:
    """What a session of a day is warned of by what has ended by now: what happened is kept."""
    told = ENDED_TEXTS[ended.what]
    if ended.on is None:
        text = f"{told}. Entered all the same: see that it is right for that day."
    elif day <= ended.on:
        text = f"{told}, since {ended.on}: after that day, so it is entered as it was."
    else:
        text = f"{told}, since {ended.on}, which is before that day: see that it is right."
    return Reason(code=ended.what.value, text=text, source="practice policy")


def contradicted(command: EnterLateSession, facts: BookingFacts) -> tuple[Reason, ...]:
    """Why a booking of that day would have been refused: a closed place, a practitioner against
    the client's preference, or hands-on work that was not permitted, with the verdict's reasons.

    Nothing was done in a session to which the client did not come.
    """
    found = [*facts.closed, *facts.preference.against]
    permitted = facts.permissions.mode
    asked = command.requested_mode is Mode.HANDS_ON
    if command.attendance is Attendance.ATTENDED and asked and permitted is not Mode.HANDS_ON:
        text = (
            "Entered as hands-on, which it could not be by what was so that day: it is kept as"
            f" {MODE_WORDS[permitted]}. See that it was that client and that day; if it was"
            " hands-on all the same, the note says so."
        )
        found.append(Reason(code="not_hands_on", text=text, source="practice policy"))
        found += facts.permissions.reasons
    return tuple(dict.fromkeys(found))

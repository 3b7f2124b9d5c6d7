"""What a session that is entered late contradicts: it is kept as it was, and said. Pure."""

from __future__ import annotations

from practice.core.reasons import Reason
from practice.core.terms import Mode
from sessions.booking.domain.commands import Attendance, BookingFacts, EnterLateSession
from sessions.calendar.domain.event_texts import MODE_WORDS


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

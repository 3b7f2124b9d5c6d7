"""What a client said on one local day, whichever of its sessions it was said in. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID

import msgspec

from sessions.assessment.domain.standing_signs import NO_SIGNS, StandingSigns, standing_signs
from sessions.calendar.domain.session_state import SessionState, SessionStop
from sessions.calendar.domain.terms import HandsOnToday, SubmittedArrivalAnswers


@dataclass(frozen=True)
class DayAnswers:
    """The answers of a day that stand, the session they were given in, and a stop after them.

    ``signs``: what stands on that day, whichever session and day it was said in.
    """

    answers: SubmittedArrivalAnswers | None = None
    stop: SessionStop | None = None
    session_id: UUID | None = None
    signs: StandingSigns = NO_SIGNS


def answers_of_day(sessions: Iterable[SessionState], day: date) -> DayAnswers:
    """What stands of a client's sessions of one local day, with any practitioner.

    The latest answers count, over what was answered before them in their own session. No
    answers lift a red flag, those of a session entered late or of another day included. A
    stop counts until answers are given anew.
    """
    everything = list(sessions)
    there = [one for one in everything if one.local_date == day]
    answered = [
        (one.answered_at, bool(one.signs), one.id, one.answers)
        for one in there
        if one.answers is not None and one.answered_at is not None
    ]
    # Of answers given at one instant those with a red flag count.
    last_said = max(answered, key=lambda row: row[:3], default=None)
    given_at, _, session_id, answers = last_said or (None, False, None, None)
    signs = standing_signs(everything, day, answered_in=session_id)
    found = DayAnswers(answers, None, session_id, signs)
    stopped = [
        one
        for one in there
        if one.stop is not None and (given_at is None or one.stop.occurred_at >= given_at)
    ]
    last = max(
        stopped, key=lambda s: (s.stop.occurred_at if s.stop else s.starts_at, s.id), default=None
    )
    if last is None:
        return found
    return replace(found, stop=last.stop, session_id=found.session_id or last.id)


def answers_for_other_session(answers: SubmittedArrivalAnswers) -> SubmittedArrivalAnswers:
    """Answers of one session as they bear on another of that day that has none of its own.

    Whether hands-on is all right is asked for each session: an earlier yes is no yes to the
    next, an earlier no stands until the client is asked again. Everything else stands.
    """
    if answers.hands_on_today is not HandsOnToday.YES:
        return answers
    return msgspec.structs.replace(answers, hands_on_today=HandsOnToday.UNANSWERED)

"""What a client said on one local day, whichever of its sessions she said it in. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID

import msgspec

from clients.health.domain.terms import RedFlag
from sessions.calendar.domain.events import HandsOnToday, SubmittedArrivalAnswers
from sessions.calendar.domain.state import SessionState, SessionStop

RedFlagsOf = Callable[[SubmittedArrivalAnswers], frozenset[RedFlag]]
"""The red flags in answers, by the practice's thresholds and the client's usual pain."""


@dataclass(frozen=True)
class DayAnswers:
    """The answers of a day that stand, the session they were given in, and a stop after them.

    ``red``: the red flags in them. They stand for the whole day, in every session of it,
    until a practitioner has answered again.
    """

    answers: SubmittedArrivalAnswers | None = None
    stop: SessionStop | None = None
    session_id: UUID | None = None
    red_flags: frozenset[RedFlag] = frozenset()


def answers_of_day(
    sessions: Iterable[SessionState], day: date, red_flags: RedFlagsOf
) -> DayAnswers:
    """What stands of a client's sessions of one local day, with any practitioner.

    The latest answers count. A session entered late does not lift a red flag: nobody
    looked at her again when it was typed in. A stop counts until answers are given anew.
    """
    there = [one for one in sessions if one.local_date == day]
    found = DayAnswers()
    answered = [
        (one.answered_at, bool(red_flags(one.answers)), one.id, one.answers, one.late_entry)
        for one in there
        if one.answers is not None and one.answered_at is not None
    ]
    # Of answers given at one instant those with a red flag count.
    for _, _, session_id, answers, late_entry in sorted(answered, key=lambda row: row[:3]):
        flags = red_flags(answers)
        if not (late_entry and found.red_flags - flags):
            found = DayAnswers(answers, None, session_id, flags)
    given_at = next((row[0] for row in answered if row[2] == found.session_id), None)
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


def answers_for_other_session(
    answers: SubmittedArrivalAnswers, own: SubmittedArrivalAnswers | None
) -> SubmittedArrivalAnswers:
    """Answers of one session as they bear on another of that day, with its own if there are any.

    Whether hands-on is all right is asked for each session: an earlier yes is no yes to the
    next, an earlier no stands until she is asked again. Everything else stands.
    """
    if own is not None:
        return msgspec.structs.replace(answers, hands_on_today=own.hands_on_today)
    if answers.hands_on_today is not HandsOnToday.YES:
        return answers
    return msgspec.structs.replace(answers, hands_on_today=HandsOnToday.UNANSWERED)

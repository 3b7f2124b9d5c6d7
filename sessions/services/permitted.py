"""The permission of every line of a note, by the facts of its own minute."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from clients.domain.permissions.outputs import Judgement as Verdicts
from sessions.domain.calendar.events import Answers
from sessions.domain.calendar.state import Booked
from sessions.domain.judging.lines import permitted
from sessions.domain.notes.events import Line
from sessions.domain.notes.signing import Permitted, started_at
from sessions.services.judging import Judge, Place
from sessions.services.timeline import Timeline


def permitted_lines(
    judge: Judge,
    timeline: Timeline,
    session: Booked,
    lines: Sequence[Line],
) -> dict[UUID, Permitted]:
    """What each line may have been at most, as it was then and as known now."""
    place = Place(session.practitioner_id, session.facility_id, session.local_date)
    begin = started_at(session)
    end = max(begin + session.length, session.ends_at)
    known: dict[tuple[int, bool], Verdicts] = {}

    def verdicts_at(at: datetime, stopped: bool) -> Verdicts:
        facts = timeline.facts(at)
        key = (id(facts), stopped)
        if key not in known:
            case = judge.case(
                place,
                session_id=session.id,
                answers=session.answers or Answers(),
                stop=session.stop if stopped else None,
                client=facts,
            )
            known[key] = case.judged()
        return known[key]

    return permitted(session, lines, begin, end, verdicts_at)

"""Red flags and free words of arrivals, and until when each stands. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime

import msgspec

from clients.health.domain.terms import RedFlag
from sessions.calendar.domain.terms import (
    HandsOnToday,
    NewSwelling,
    ShoulderToday,
    SubmittedArrivalAnswers,
)


@dataclass(frozen=True, slots=True)
class RaisedSign:
    """A red flag as it was said, on a local day of its session. It stands until it is cleared."""

    flag: RedFlag
    raised_at: datetime
    raised_on: date
    swelling: tuple[NewSwelling, ...] = ()
    cleared_at: datetime | None = None

    def stands(self, at: datetime | None = None) -> bool:
        """Whether it had been raised and not been cleared by an instant; None: as known now."""
        if at is None or self.cleared_at is None:
            return self.cleared_at is None and (at is None or self.raised_at <= at)
        return self.raised_at <= at < self.cleared_at


@dataclass(frozen=True, slots=True)
class SaidWords:
    """What a client said in their own words. It waits until it is reviewed."""

    text: str
    said_at: datetime
    said_on: date
    reviewed_at: datetime | None = None

    def waits(self, at: datetime | None = None) -> bool:
        """Whether it had been said and not been reviewed by an instant; None: as known now."""
        if at is None or self.reviewed_at is None:
            return self.reviewed_at is None and (at is None or self.said_at <= at)
        return self.said_at <= at < self.reviewed_at


def cleared(signs: Iterable[RaisedSign], flag: RedFlag, at: datetime) -> tuple[RaisedSign, ...]:
    """The signs once one of them was cleared at an instant: what is raised later stands."""
    return tuple(
        replace(one, cleared_at=at)
        if one.flag is flag and one.cleared_at is None and one.raised_at <= at
        else one
        for one in signs
    )


def reviewed(
    words: Iterable[SaidWords], read: Iterable[str], at: datetime
) -> tuple[SaidWords, ...]:
    """The words once those that were read have been reviewed: others still wait."""
    texts = set(read)
    return tuple(
        replace(one, reviewed_at=at) if one.text in texts and one.reviewed_at is None else one
        for one in words
    )


def merged_answers(
    earlier: SubmittedArrivalAnswers | None, given: SubmittedArrivalAnswers
) -> SubmittedArrivalAnswers:
    """Answers given now over earlier ones of that session: nothing is unsaid by silence.

    An empty list is an answer. A shoulder that is not named keeps what was said of it; free
    words are added to those before.
    """
    if earlier is None:
        return given
    said = {name: getattr(given, name) for name in given.__struct_fields__}
    kept = {name: getattr(earlier, name) for name in given.__struct_fields__}
    answered = {name: value for name, value in said.items() if value is not None}
    if given.hands_on_today is HandsOnToday.UNANSWERED:
        del answered["hands_on_today"]
    merged = SubmittedArrivalAnswers(**{**kept, **answered})
    return msgspec.structs.replace(
        merged,
        shoulders=_shoulders(earlier.shoulders, given.shoulders),
        other_symptoms=_words(earlier.other_symptoms, given.other_symptoms),
    )


def _shoulders(
    earlier: tuple[ShoulderToday, ...] | None, given: tuple[ShoulderToday, ...] | None
) -> tuple[ShoulderToday, ...] | None:
    if not earlier or not given:
        return earlier if given is None else given
    named = {one.side for one in given}
    return (*(one for one in earlier if one.side not in named), *given)


def _words(earlier: str, given: str) -> str:
    kept = earlier.splitlines()
    return "\n".join([*kept, *(line for line in given.splitlines() if line not in kept)])

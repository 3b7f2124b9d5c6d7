"""A person says whose the minutes are that several sessions share. Pure.

Divided, all to one, or a group. What is counted never exceeds the clock, whichever of the
sessions one looks at. Two disciplines of one client never earn more units together than the
shared time earns once: all but one of them get whole units' worth of it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations
from uuid import UUID

import msgspec

from billing.authorizations.domain.events import TreatedSession, VisitOverridden
from billing.authorizations.domain.state import AuthorizationBalance
from billing.authorizations.domain.terms import SharedTimeAnswer
from billing.authorizations.domain.treatment_day import TreatmentDay
from billing.payers.domain.rules import PayerRulesById
from billing.units.domain.units import UNIT_MINUTES
from billing.visits.domain.reactors import day_of_visit, recalculated_days, with_session
from billing.visits.domain.shared_time import minutes_of, shared_minutes, shared_spans
from practice.core.decisions import Decided
from practice.core.reasons import Rejected, invalid

MOST_SESSIONS = 10
"""More sessions that share time at once are a slip in their times, not a question."""


@dataclass(frozen=True, slots=True)
class SharingSession:
    """One of the sessions that share time, and whose visit it is in."""

    client_id: UUID
    visit_id: UUID
    session: TreatedSession


@dataclass(frozen=True, slots=True)
class GivenAnswer:
    """What a person answers for a session; ``minutes`` are asked for where it is ``divided``:
    of the shared clock minutes of each session that shares them, those that count for it."""

    session_id: UUID
    answer: SharedTimeAnswer
    minutes: Mapping[UUID, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class SharedTimeDecision:
    """What a person said: of the shared minutes of each session so many count for it."""

    answer: SharedTimeAnswer
    counted: Mapping[UUID, int]
    reason: str = ""


def divide_shared_time(
    sharing: Sequence[SharingSession], given: GivenAnswer, reason: str
) -> SharedTimeDecision:
    """The decision for all sessions that share time with one; 400 where it cannot be."""
    ids = {one.session.session_id for one in sharing}
    if len(ids) < 2 or given.session_id not in ids:
        raise invalid("session_id", "Name a session of this visit that shares minutes.")
    if len(ids) > MOST_SESSIONS:
        raise Rejected(
            "too_many_share_time",
            f"{len(ids)} sessions share this time. Correct their times first.",
        )
    if (given.answer is SharedTimeAnswer.DIVIDED) != bool(given.minutes):
        raise invalid("minutes", "Give minutes where they are divided, and only there.")
    if given.answer is SharedTimeAnswer.DIVIDED:
        _check_division(sharing, ids, given.minutes)
        return SharedTimeDecision(given.answer, dict(given.minutes), reason)
    counted = dict.fromkeys(ids, 0)
    if given.answer is SharedTimeAnswer.GROUP:
        _check_group(sharing)
    else:
        (own,) = [one for one in sharing if one.session.session_id == given.session_id]
        counted[given.session_id] = shared_minutes(own.session)
    return SharedTimeDecision(given.answer, counted, reason)


def answer_shared_time(
    authorization_balance: AuthorizationBalance,
    decision: SharedTimeDecision,
    payers: PayerRulesById,
) -> Decided:
    """One client's part of it: what was said of each session, then the days as they are now.

    What gives minutes back is calculated before what gets them. The same answer again
    changes nothing.
    """
    said: list[VisitOverridden] = []
    days: list[TreatmentDay] = []
    for visit_id, visit in authorization_balance.visits.items():
        day = day_of_visit(authorization_balance, visit_id)
        for one in visit.last.sessions:
            counted = decision.counted.get(one.session_id)
            if counted is None or (one.shared_answer, one.counted_shared_minutes) == (
                decision.answer,
                counted,
            ):
                continue
            now = msgspec.structs.replace(
                one, shared_answer=decision.answer, counted_shared_minutes=counted
            )
            day = with_session(day, now)
            said.append(
                VisitOverridden(
                    visit_id=visit_id,
                    session_id=one.session_id,
                    shared_answer=decision.answer,
                    counted_shared_minutes=counted,
                    reason=decision.reason,
                )
            )
        if day.sessions != visit.last.sessions:
            days.append(day)
    days.sort(key=_counted)
    return [*said, *recalculated_days(days, authorization_balance, payers)]


def _counted(day: TreatmentDay) -> tuple[int, UUID]:
    return sum(one.counted_shared_minutes or 0 for one in day.sessions), day.visit_id


def _check_division(
    sharing: Sequence[SharingSession], ids: set[UUID], minutes: Mapping[UUID, int]
) -> None:
    if set(minutes) != ids:
        named = ", ".join(sorted(str(one) for one in ids))
        raise invalid("minutes", f"Give the minutes of each session that shares time: {named}.")
    for size in range(1, len(sharing) + 1):
        for some in combinations(sharing, size):
            _check_clock(some, minutes)
    _check_disciplines(sharing, minutes)


def _check_clock(some: Sequence[SharingSession], minutes: Mapping[UUID, int]) -> None:
    clock = minutes_of(span for one in some for span in shared_spans(one.session))
    given = sum(minutes[one.session.session_id] for one in some)
    if given > clock:
        raise invalid(
            "minutes",
            f"{given} minutes were given to {len(some)} session(s) that share {clock} minutes of "
            "the clock: one minute counts once.",
        )


def _check_disciplines(sharing: Sequence[SharingSession], minutes: Mapping[UUID, int]) -> None:
    """15 minutes are one unit wherever they are added, so whole ones earn no unit twice."""
    given: defaultdict[UUID, defaultdict[UUID, int]] = defaultdict(lambda: defaultdict(int))
    for one in sharing:
        given[one.client_id][one.visit_id] += minutes[one.session.session_id]
    for visits in given.values():
        uneven = [count for count in visits.values() if count % UNIT_MINUTES]
        if len(uneven) > 1:
            raise invalid(
                "minutes",
                f"Give each discipline but one a multiple of {UNIT_MINUTES} minutes, so that two "
                "of them together earn no more units than the time earns once.",
            )


def _check_group(sharing: Iterable[SharingSession]) -> None:
    clients = [one.client_id for one in sharing]
    practitioners = {one.session.practitioner_id for one in sharing}
    if len(set(clients)) < len(clients) or len(practitioners) > 1:
        raise invalid(
            "answer", "A group is one practitioner with several clients, one session each."
        )

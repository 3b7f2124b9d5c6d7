"""Minutes that count once: the clock's bound, and what sessions share with others. Pure.

One minute of a client counts once, whoever worked, and one of a practitioner once, whoever
was there. What a session shares does not count for it until a person says whose it is. Two
sessions of one visit that share minutes need no answer for the total: it counts them once;
only the code may be open. The places of one class share its time as what they are, a group:
nobody is asked.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

import msgspec

from billing.authorizations.domain.events import SharedTime, TreatedSession

Span = tuple[datetime, datetime]
MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class SessionSpan:
    """When another session took place."""

    session_id: UUID
    starts_at: datetime
    ends_at: datetime
    same_client: bool
    class_id: UUID | None = None


def union(spans: Iterable[Span]) -> list[Span]:
    """The same time as spans that neither overlap nor touch, in order."""
    made: list[Span] = []
    for begin, end in sorted(one for one in spans if one[0] < one[1]):
        if made and begin <= made[-1][1]:
            made[-1] = (made[-1][0], max(made[-1][1], end))
        else:
            made.append((begin, end))
    return made


def minutes_of(spans: Iterable[Span]) -> int:
    """Whole minutes of the clock in some spans, a minute begun counted as one."""
    seconds = sum(((end - begin) for begin, end in union(spans)), timedelta())
    return -(-seconds // MINUTE)


def clock_minutes(session: TreatedSession) -> int:
    """Minutes between its start and its end, a minute begun counted as one."""
    return minutes_of([(session.started_at, session.ended_at)])


def shared_spans(session: TreatedSession) -> list[Span]:
    """The time that a session shares with any other, but those of its class."""
    return union((one.starts_at, one.ends_at) for one in _questions(session.shared))


def in_a_group(session: TreatedSession) -> bool:
    """Whether a place in a class shared its time with another of the class: two or more at once."""
    return any(one.same_class for one in session.shared)


def _questions(shared: Iterable[SharedTime]) -> list[SharedTime]:
    """What a person is asked about."""
    return [one for one in shared if not one.same_class]


def shared_minutes(session: TreatedSession) -> int:
    """Minutes that a session shares with any other."""
    return minutes_of(shared_spans(session))


def with_shared(
    session: TreatedSession,
    others: Iterable[SessionSpan],
    anew: AbstractSet[UUID] = frozenset(),
) -> TreatedSession:
    """The session with what it shares with others, beside what it was known to share.

    ``anew``: sessions of which the times are known as they stand, so that what was shared
    with them before says nothing. Where anything differs a person is asked anew.
    """
    known = {one.session_id: one for one in session.shared}
    found = {
        one.session_id: within
        for one in session.shared
        if one.session_id not in anew and (within := _within(session, one)) is not None
    }
    for one in others:
        begin, end = max(one.starts_at, session.started_at), min(one.ends_at, session.ended_at)
        if one.session_id != session.session_id and begin < end:
            found[one.session_id] = SharedTime(
                session_id=one.session_id,
                starts_at=begin,
                ends_at=end,
                same_client=one.same_client,
                same_class=session.class_id is not None and one.class_id == session.class_id,
            )
    if found == known:
        return session
    ordered = tuple(sorted(found.values(), key=lambda one: (one.starts_at, one.session_id)))
    now = msgspec.structs.replace(session, shared=ordered)
    if _questions(ordered) == _questions(session.shared):
        return now
    return msgspec.structs.replace(now, shared_answer=None, counted_shared_minutes=None)


def _within(session: TreatedSession, shared: SharedTime) -> SharedTime | None:
    """What is left of a shared stretch in the session's time as it stands."""
    begin = max(shared.starts_at, session.started_at)
    end = min(shared.ends_at, session.ended_at)
    return msgspec.structs.replace(shared, starts_at=begin, ends_at=end) if begin < end else None


def shared_elsewhere(session: TreatedSession) -> frozenset[UUID]:
    """The sessions of other clients that a session is known to share time with."""
    return frozenset(one.session_id for one in session.shared if not one.same_client)


def span_of(session: TreatedSession) -> SessionSpan:
    """A session of the same client as others see it."""
    return SessionSpan(
        session.session_id,
        session.started_at,
        session.ended_at,
        same_client=True,
        class_id=session.class_id,
    )


@dataclass(frozen=True, slots=True)
class UncountedMinutes:
    """Of the timed minutes of a session that would count: those beyond the clock, and those
    shared. ``most`` is the most that any one service of it may lose."""

    beyond_clock: int
    shared: int
    most: int


def uncounted_minutes(
    sessions: Sequence[TreatedSession], timed: Counter[UUID], untimed: Counter[UUID]
) -> dict[UUID, UncountedMinutes]:
    """Which minutes of a visit's sessions do not count, by session.

    ``timed`` and ``untimed`` are minutes that would count, by session; sessions with neither
    take nobody's minutes. Minutes that two sessions of the visit share are lost once: the
    later ones lose them, as far as they have any, though the code may be the other's.
    """
    counting = [one for one in sessions if timed[one.session_id] or untimed[one.session_id]]
    waiting = {one.session_id for one in counting if one.counted_shared_minutes is None}
    silent = {one.session_id for one in sessions} - {one.session_id for one in counting}
    found: dict[UUID, UncountedMinutes] = {}
    inside: dict[UUID, list[Span]] = {}
    for one in counting:
        given = timed[one.session_id]
        beyond = min(given, max(0, given + untimed[one.session_id] - clock_minutes(one)))
        outside = _outside(one, waiting | silent)
        if one.counted_shared_minutes is None:
            inside[one.session_id] = _less(shared_spans(one), outside)
            gone = minutes_of(outside)
            lost = min(gone, given - beyond)
        else:
            gone = shared_minutes(one) - one.counted_shared_minutes
            lost = max(0, min(shared_minutes(one), given - beyond) - one.counted_shared_minutes)
        most = beyond + gone + minutes_of(inside.get(one.session_id, ()))
        found[one.session_id] = UncountedMinutes(beyond, lost, most)
    doubled = sum(minutes_of(spans) for spans in inside.values()) - minutes_of(
        span for spans in inside.values() for span in spans
    )
    for one in reversed(counting):
        now, spans = found[one.session_id], inside.get(one.session_id, [])
        rest = timed[one.session_id] - now.beyond_clock - now.shared
        more = min(doubled, minutes_of(spans), rest)
        found[one.session_id] = UncountedMinutes(now.beyond_clock, now.shared + more, now.most)
        doubled -= more
    return found


def _outside(session: TreatedSession, own: set[UUID]) -> list[Span]:
    """What a session shares beyond some sessions of its own visit: those that wait with it,
    and those that count nothing and so take nobody's minutes."""
    return union(
        (one.starts_at, one.ends_at)
        for one in _questions(session.shared)
        if one.session_id not in own
    )


def _less(spans: Iterable[Span], gone: Sequence[Span]) -> list[Span]:
    """Spans without some others; both in order and apart."""
    left: list[Span] = []
    for begin, end in spans:
        now = begin
        for start, stop in gone:
            if start < end and stop > now:
                if now < start:
                    left.append((now, start))
                now = max(now, stop)
        if now < end:
            left.append((now, end))
    return left

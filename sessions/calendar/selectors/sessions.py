"""Questions to the calendar's read table, within the facilities that the caller may see."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime
from functools import reduce
from operator import or_
from uuid import UUID

from django.db.models import Q, QuerySet

from practice.core.decisions import Actor
from practice.core.localtime import instant_of
from practice.core.reasons import existing
from practice.core.spans import Span, merged
from practice.people_and_places.selectors.facilities import at_visible_facilities
from sessions.calendar.domain.session_state import TIME_HOLDING_STATUSES
from sessions.calendar.models import Session
from sessions.calendar.selectors.classes import LONGEST, times_of_classes
from sessions.calendar.selectors.times_held import TIME_COLUMNS, TimeHeld


def session_list(actor: Actor) -> QuerySet[Session]:
    """The sessions at facilities that the caller may see."""
    return at_visible_facilities(actor, Session.objects.all())


def session_row(session_id: UUID) -> Session:
    """A session as it stands, whoever asks: after a command that was allowed."""
    return Session.objects.get(pk=session_id)


def session_get(actor: Actor, session_id: UUID) -> Session:
    """One of them; Rejected 404 for any other."""
    return existing(session_list(actor).filter(pk=session_id).first(), "session")


def narrowed_sessions(actor: Actor, now: datetime) -> QuerySet[Session]:
    """Booked sessions to come that narrowed since they were planned, those too that a move left
    narrower than they were at first."""
    kept = Q(flagged=True) | ~Q(first_mode="")
    return session_list(actor).filter(kept, status="booked", ends_at__gt=now)


def holding_time(begin: datetime, end: datetime) -> QuerySet[Session]:
    """The sessions that hold any moment between two instants: a booking there meets them."""
    return Session.objects.filter(_held(begin, end))


def times_held(
    spans: Iterable[Span],
    *,
    practitioners: Iterable[UUID],
    rooms: Iterable[UUID],
    client_id: UUID,
) -> Iterator[TimeHeld]:
    """The same within any of some spans of minutes, for some people and rooms and a client, in one
    query each for sessions and classes."""
    asked = [(instant_of(begin), instant_of(end)) for begin, end in merged(spans)]
    within = reduce(or_, (_held(*span) for span in asked), Q(pk__in=()))
    of_them = Q(practitioner_id__in=practitioners) | Q(room_id__in=rooms)
    rows = Session.objects.filter(within, of_them | Q(client_id=client_id))
    for row in rows.values_list(*TIME_COLUMNS, "buffer_before", "buffer_after", "client_id"):
        yield TimeHeld(*row)
    yield from times_of_classes(asked, of_them)


def _held(begin: datetime, end: datetime) -> Q:
    # Without the first bound an index on the start would be read from its beginning.
    return Q(
        starts_at__gt=begin - LONGEST,
        starts_at__lt=end,
        ends_at__gt=begin,
        status__in=TIME_HOLDING_STATUSES,
    )

"""Who waits for a time, within the clients that the caller sees; and whom a free time suits."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any, Final
from uuid import UUID, uuid4

from django.db.models import Q, QuerySet

from clients.identity.domain.unsuitable import unsuitable
from clients.identity.models import Client
from clients.identity.selectors import of_visible_clients
from practice.core.decisions import Actor, Context
from practice.core.localtime import local_day, zone_named
from practice.core.reasons import Rejected, existing
from practice.core.terms import Mode
from practice.people_and_places.models.practitioners import Practitioner
from practice.people_and_places.selectors.kept import place_get, places
from practice.policy.selectors import settings_group
from practice.work import loading
from sessions.booking.domain.commands import BookSession, Slot
from sessions.booking.domain.decisions import decide_book
from sessions.booking.domain.free_time import FreeTime
from sessions.booking.selectors.client_side import unsuitable_times_of
from sessions.booking.services.facts import assessor_of, booking_facts
from sessions.booking.services.freed import (
    WaitingFit,
    WaitingFits,
    free_place_of,
    free_time_of,
)
from sessions.booking.services.places import SlotPlace
from sessions.calendar.domain.events import SessionBooked
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.domain.terms import SessionPurpose
from sessions.calendar.selectors.classes import class_get, class_row
from sessions.calendar.selectors.facilities import zone_of
from sessions.calendar.selectors.sessions import session_get
from sessions.kinds.domain.kind import check_bookable, check_length, mode_of
from sessions.kinds.selectors import kind_named, kinds
from sessions.waiting_list.domain.fitting import (
    known_there,
    may_be_in_a_class,
    minutes_taken,
    suits,
)
from sessions.waiting_list.domain.settings import WaitingListSettings
from sessions.waiting_list.domain.state import OfferAnswer, WaitingStatus
from sessions.waiting_list.models import WaitingEntry

MOST_READ: Final = 500
"""So many entries are read for a free time, longest waiting first."""


def waiting_list(actor: Actor) -> QuerySet[WaitingEntry]:
    """The entries of the clients that the caller sees."""
    return of_visible_clients(actor, WaitingEntry.objects.all())


def waiting_get(actor: Actor, waiting_id: UUID) -> WaitingEntry:
    """One of them; Rejected 404 for any other."""
    found = waiting_list(actor).filter(pk=waiting_id).first()
    return existing(found, "entry of the waiting list")


def waiting_row(waiting_id: UUID) -> WaitingEntry:
    """An entry as it stands, whoever asks: after a command that was allowed."""
    return WaitingEntry.objects.get(pk=waiting_id)


def waiting_settings() -> WaitingListSettings:
    """The practice's settings of the waiting list."""
    return settings_group("waiting_list", WaitingListSettings)[0]


def free_time(actor: Actor, named: Mapping[str, Any]) -> FreeTime:
    """The free time that is asked about: of a session that the caller may see
    (``free_session_id``), in a class (``class_id``), or at a facility that they may see. Raises
    Rejected 404."""
    if "free_session_id" in named:
        return free_time_of(session_get(actor, named["free_session_id"]))
    if "class_id" in named:
        return free_place_of(class_get(actor, named["class_id"]))
    facility = place_get(actor, named["facility_id"])
    room_id, minutes = named.get("room_id"), named["minutes"]
    return FreeTime(named["practitioner_id"], facility.pk, room_id, named["starts_at"], minutes)


def who_waits(actor: Actor, free: FreeTime, now: datetime) -> WaitingFits:
    """Who on the list may have a free time, longest waiting first: whom it suits, and who could
    be booked in it by all that booking asks."""
    if not _still_free(free):
        return WaitingFits()
    begin = free.starts_at.astimezone(UTC)
    suited, more = _suited(actor, free, zone_of(free.facility_id))
    place = _place(free) if suited else None
    if place is None:
        return WaitingFits(more=more)
    settings = waiting_settings()
    fits: list[WaitingFit] = []
    for entry, client in suited[: settings.most_evaluated]:
        end = begin + timedelta(minutes=minutes_taken(entry, free))
        slot = place.slot(begin, end, free.class_id)
        context = Context(now=now, actor=actor, new_id=uuid4)
        if (found := bookable(entry, slot, context)) is not None:
            fits.append(_fit(entry, client, slot, found))
    more = more or len(suited) > settings.most_evaluated
    return WaitingFits(tuple(fits), more=more, named=settings.named_at_cancellation)


def _still_free(free: FreeTime) -> bool:
    """Whether a place in a class is left; who else has the time booking says."""
    if free.class_id is None:
        return True
    row = class_row(free.class_id)
    return not row.is_cancelled and row.taken < row.capacity  # type: ignore[attr-defined]


def _place(free: FreeTime) -> SlotPlace | None:
    """The place of a free time, where the practitioner still works there."""
    facility = places().get(free.facility_id)
    practitioner = Practitioner.objects.filter(
        pk=free.practitioner_id, is_active=True, facilities=free.facility_id
    ).first()
    if facility is None or not facility.is_active or practitioner is None:
        return None
    return SlotPlace(practitioner, facility, free.room_id)


def _suited(
    actor: Actor, free: FreeTime, zone: str
) -> tuple[list[tuple[WaitingEntry, Client]], bool]:
    """Those who wait and whom the time suits, longest waiting first; whether there are more."""
    day = local_day(free.starts_at, zone)
    rows = waiting_list(actor).filter(
        Q(first_day=None) | Q(first_day__lte=day),
        Q(last_day=None) | Q(last_day__gte=day),
        status=WaitingStatus.WAITING,
        minutes__lte=free.minutes,
    )
    longest = list(rows.order_by("asked_at", "id")[: MOST_READ + 1])
    fitting = [
        row
        for row in longest[:MOST_READ]
        if suits(row, free, zone) and (free.class_id is None or _in_a_class(row))
    ]
    clients = Client.objects.in_bulk({row.client_id for row in fitting})
    found = [(row, clients[row.client_id]) for row in fitting if row.client_id in clients]
    known = [
        one
        for one in found
        if known_there(one[0], free.facility_id, one[1].facility_ids) and _suits_client(*one, free)
    ]
    return known, len(longest) > MOST_READ


def _in_a_class(entry: WaitingEntry) -> bool:
    kind = None if entry.kind_id is None else kinds().get(entry.kind_id)
    return may_be_in_a_class(SessionPurpose(entry.purpose), kind)


def _suits_client(entry: WaitingEntry, client: Client, free: FreeTime) -> bool:
    """Whether none of the times that do not suit the client lies in the session."""
    end = free.starts_at + timedelta(minutes=minutes_taken(entry, free))
    times = unsuitable_times_of(client.unsuitable_times)
    return not unsuitable(times, client.zone, free.starts_at, end)


def bookable(entry: WaitingEntry, slot: Slot, context: Context) -> SessionBooked | None:
    """The booking of a slot for a client who waits, as it would be; None where it is refused."""
    states = loading.state_loader(entry.client_id).require
    facts = booking_facts(assessor_of(entry.client_id, states), context.new_id(), slot, states)
    try:
        book = _as_booked(entry, slot)
        (event,) = decide_book(states((CALENDAR,))[CALENDAR], book, facts, context)
    except Rejected:
        return None
    assert isinstance(event, SessionBooked)  # noqa: S101  nothing else is decided there
    return event


def _as_booked(entry: WaitingEntry, slot: Slot) -> BookSession:
    """What booking it asks. Raises Rejected where the kind is not offered so any more."""
    if slot.class_id is not None:
        overrule = class_row(slot.class_id).overruled
        return BookSession(requested_mode=Mode.SELF_DIRECTED, overrule=overrule)
    if entry.kind_id is None:
        return BookSession(purpose=SessionPurpose(entry.purpose))
    kind = kind_named(entry.kind_id)
    check_bookable(kind)
    check_length(kind, entry.minutes)
    return BookSession(purpose=kind.purpose, requested_mode=mode_of(kind, None))


def _fit(entry: WaitingEntry, client: Client, slot: Slot, booked: SessionBooked) -> WaitingFit:
    here = zone_named(slot.zone)
    return WaitingFit(
        waiting_id=entry.pk,
        client_id=client.pk,
        client_name=client.name,
        client_phone=client.phone,
        client_contact_by=client.contact_by,
        asked_at=entry.asked_at,
        starts_at=slot.starts_at.astimezone(here),
        ends_at=slot.ends_at.astimezone(here),
        note=entry.note,
        offered=any(one["answer"] == OfferAnswer.OPEN.value for one in entry.offers),
        mode=booked.planned_mode,
        reasons=booked.permissions.reasons,
    )

"""Questions on the stretches: where each stretch stands, and the call list."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from uuid import UUID

from django.db.models import Min, QuerySet

from clients.reminders.selectors import states_of_reminders
from practice.core.decisions import Actor
from practice.core.localtime import local_day
from practice.core.reasons import existing
from practice.people_and_places.models.facilities import Facility
from practice.people_and_places.selectors.facilities import at_visible_facilities
from sessions.calendar.models import Session
from sessions.calendar.selectors.facilities import zone_of
from sessions.stretches.domain.jobs import REMINDER_JOB
from sessions.stretches.models import Recheck


def recheck_list(actor: Actor) -> QuerySet[Recheck]:
    """The re-checks at the facilities that the caller may see, and those bound to none."""
    return at_visible_facilities(actor, Recheck.objects.all(), bound_to_none=True)


def with_next_session(rows: Iterable[Recheck], now: datetime) -> list[Recheck]:
    """The rows with ``next_session_at``, when each client's next booked session starts, and
    ``today``, the local day at the facility: a query each, however many rows.

    The session may be at any facility: the desk only learns that the client is coming.
    """
    found = list(rows)
    booked = Session.objects.filter(
        client_id__in={row.client_id for row in found}, status="booked", starts_at__gt=now
    )
    first = booked.order_by("client_id").values_list("client_id").annotate(Min("starts_at"))
    starts = dict(first) if found else {}
    places = Facility.objects.filter(pk__in={row.facility_id for row in found if row.facility_id})
    zones: dict[UUID | None, str] = dict(places.values_list("pk", "zone"))
    zones[None] = zone_of(None)
    for row in found:
        row.next_session_at = starts.get(row.client_id)  # type: ignore[attr-defined]
        row.today = local_day(now, zones.get(row.facility_id, zones[None]))  # type: ignore[attr-defined]
    return found


def with_mail_status(rows: Sequence[Recheck]) -> Sequence[Recheck]:
    """The rows with ``mail_status``: how the last message to the client stands; one query."""
    found = states_of_reminders(REMINDER_JOB.removeprefix("remind_"), [row.pk for row in rows])
    for row in rows:
        row.mail_status = found.get(row.pk, "none")  # type: ignore[attr-defined]
    return rows


def recheck_row(recheck_id: UUID) -> Recheck:
    """A re-check as it stands, whoever asks: after a command that was allowed."""
    return Recheck.objects.get(pk=recheck_id)


def recheck_get(actor: Actor, recheck_id: UUID) -> Recheck:
    """One of them; Rejected 404 for any other."""
    return existing(recheck_list(actor).filter(pk=recheck_id).first(), "re-check")

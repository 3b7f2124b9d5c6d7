"""Questions on safety incidents: which are on record, which are open, whom to call."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime
from uuid import UUID

from django.db.models import QuerySet

from clients.calls.hooks import CallSource
from clients.identity.selectors import of_visible_clients
from practice.core.decisions import Actor
from practice.core.localtime import local_day
from practice.people_and_places.selectors.kept import practitioner_names
from sessions.calendar.selectors.facilities import zone_of
from sessions.incidents.domain.terms import IncidentStatus
from sessions.incidents.models import Incident


def incident_list(actor: Actor) -> QuerySet[Incident]:
    """The incidents of clients whom the caller sees."""
    return of_visible_clients(actor, Incident.objects.all())


def incidents_of(client_ids: Collection[UUID]) -> QuerySet[Incident]:
    """The incidents of some clients, the latest first."""
    return Incident.objects.filter(client_id__in=client_ids).order_by("-happened_at", "id")


def incident_row(incident_id: UUID) -> Incident:
    """An incident as it stands, whoever asks: after a command that was allowed."""
    return Incident.objects.get(pk=incident_id)


def followed_up(client_id: UUID) -> list[Incident]:
    """Those of a client that are open: what the desk must know when the client calls."""
    return list(incidents_of([client_id]).filter(status=IncidentStatus.OPEN))


def _to_call(now: datetime) -> QuerySet[Incident]:
    """Those whose client is to be called by today, on the practice's clock."""
    today = local_day(now, zone_of(None))
    return Incident.objects.filter(call_on__isnull=False, call_on__lte=today)


def _told(rows: Sequence[Incident], _now: datetime) -> list[str]:
    """No clinical word: the desk asks how the client is and passes on what they say."""
    names = practitioner_names()
    texts = []
    for row in rows:
        who = names.get(row.practitioner_id, "") if row.practitioner_id else ""
        asks = who or "The practice"
        texts.append(f"{asks} asked to hear how the client is; pass on what they say.")
    return texts


INCIDENTS_TO_FOLLOW_UP = CallSource(
    reason="follow_up_call",
    explained="A practitioner asked that the client be called to hear how they are.",
    rows=_to_call,
    by="call_on",
    about="id",
    since="call_asked_at",
    told=_told,
)

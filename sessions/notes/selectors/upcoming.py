"""What stands open of a client's sessions: before an erasure, and when they come again."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from practice.clock import clock
from practice.core.reasons import Reason
from sessions.calendar.models import Session
from sessions.calendar.selectors.gaps import GapSource
from sessions.notes.selectors.notes import notes_standing

UNSIGNED = "note"


def unsigned_sessions(client_ids: Collection[UUID] | QuerySet[Any, Any]) -> QuerySet[Session]:
    """Sessions of some clients for which they came and whose note nobody has signed."""
    signed = notes_standing().filter(client_id__in=client_ids).values("session_id")
    came = Session.objects.filter(client_id__in=client_ids, status="arrived")
    return came.exclude(pk__in=signed)


def _unsigned_before(sessions: Sequence[Session]) -> Mapping[UUID, list[str]]:
    """The sessions whose client has an earlier one, over by now, without a signed note."""
    clients = {row.client_id for row in sessions}
    over = unsigned_sessions(clients).filter(ends_at__lte=clock.now())
    ended = list(over.values_list("client_id", "ends_at"))
    return {
        row.pk: [UNSIGNED]
        for row in sessions
        if any(client == row.client_id and end <= row.starts_at for client, end in ended)
    }


NOTE_GAPS = GapSource(
    {UNSIGNED: "The note of an earlier session is not signed: ask its practitioner."},
    _unsigned_before,
)


def open_session_reasons(client_id: UUID) -> list[Reason]:
    """Sessions still to come, and sessions that took place without a signed note."""
    mine = Session.objects.filter(client_id=client_id)
    unsigned = unsigned_sessions([client_id]).count()
    ahead = mine.filter(status="booked", ends_at__gt=clock.now()).count()
    found = {
        "erasure.upcoming_sessions": (ahead, f"Sessions are booked ahead ({ahead}): cancel them."),
        "erasure.notes_unsigned": (unsigned, f"Sessions have no signed note yet ({unsigned})."),
    }
    return [
        Reason(code=code, text=text, source="practice policy")
        for code, (count, text) in found.items()
        if count
    ]

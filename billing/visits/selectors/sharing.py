"""Which clients' sessions share time with one."""

from __future__ import annotations

from uuid import UUID

from billing.authorizations.models import Visit
from sessions.notes.models import Note


def clients_sharing(session_id: UUID) -> set[UUID]:
    """The clients whose sessions share time with a session, directly or through others."""
    wanted, seen, clients = {session_id}, set[UUID](), set[UUID]()
    while wanted:
        notes = Note.objects.filter(session_id__in=wanted).values_list("client_id", "local_date")
        seen |= wanted
        rows = list(notes)
        clients |= {client_id for client_id, _ in rows}
        visits = Visit.objects.filter(
            client_id__in=[client_id for client_id, _ in rows],
            local_date__in=[day for _, day in rows],
        ).values_list("sessions", flat=True)
        shared = {
            UUID(other["session_id"])
            for sessions in visits
            for one in sessions
            if UUID(one["session_id"]) in wanted
            for other in one["shared"]
            if not other.get("same_class")
        }
        wanted = shared - seen
    return clients

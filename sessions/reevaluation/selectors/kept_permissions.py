"""What a session was permitted to be when it was booked, opened and signed, and by what."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from clients.permissions.domain.results import UsedRowKind
from practice.core.events import RecordedEvent, registry
from practice.law.models import JurisdictionLimit
from practice.people_and_places.models.practitioners import Competence, Licence, Supervision
from practice.policy.as_known import rows_as_known
from practice.policy.rows import RevisionedModel
from practice.work import loading
from sessions.calendar.domain.events import (
    SessionArrived,
    SessionBooked,
    SessionMoved,
    SessionOpened,
)
from sessions.calendar.domain.terms import KeptRow, PermissionsSnapshot
from sessions.notes.domain.events import NoteSigned

KEPT_IN = (SessionBooked, SessionMoved, SessionArrived, SessionOpened, NoteSigned)


@dataclass(frozen=True)
class UsedRowThen:
    """A row of the practice's tables that a verdict rests on, as it stood then."""

    kind: UsedRowKind
    id: UUID
    revision: int
    text: str


@dataclass(frozen=True)
class KeptPermissions:
    """One verdict as it was kept, with the event that kept it."""

    event: RecordedEvent
    permissions: PermissionsSnapshot
    rows: Sequence[UsedRowThen]


def kept_permissions(
    client_id: UUID, session_id: UUID, known_at: datetime | None = None
) -> list[KeptPermissions]:
    """Every verdict that was kept for a session, oldest first; until an instant if one is given."""
    events = loading.load_events(client_id, types=registry.names(KEPT_IN), known_at=known_at)
    found = []
    for one in events:
        if not isinstance(one.data, KEPT_IN) or one.data.session_id != session_id:
            continue
        if (permissions := one.data.permissions) is not None:
            rows = _rows_then(permissions.rows, one.recorded_at)
            found.append(KeptPermissions(one, permissions, rows))
    return found


def _rows_then(rows: Sequence[KeptRow], at: datetime) -> list[UsedRowThen]:
    stood: dict[UUID, str] = {}
    for kind in {row.kind for row in rows}:
        model, text = ROWS[kind]
        wanted = {row.id for row in rows if row.kind is kind}
        stood |= {row.pk: text(row) for row in rows_as_known(model, at) if row.pk in wanted}
    return [UsedRowThen(row.kind, row.id, row.revision, stood.get(row.id, "")) for row in rows]


def _licence(row: Any) -> str:
    title = row.credential.replace("_", " ")
    return (
        f"Licence {row.number} as {title} in {row.jurisdiction}, {row.valid_from} to"
        f" {row.expires_on}."
    )


def _sign_off(row: Any) -> str:
    title = row.technique.replace("_", " ")
    reason = f" Nobody else could sign: {row.reason}" if row.reason else ""
    return f"Signed off in {title} on {row.signed_off_on} by {row.signed_off_by}.{reason}"


def _supervision(row: Any) -> str:
    return f"Supervised by {row.supervisor.name} at {row.facility.name} on {row.day}."


def _limit(row: Any) -> str:
    verified = f"Verified on {row.verified_on}." if row.verified_on else "Not verified."
    title, activity = (one.replace("_", " ") for one in (row.credential, row.activity))
    allowance = row.allowance.replace("_", " ")
    return f"{row.jurisdiction}, {title}, {activity}: {allowance}. {row.source} {verified}"


ROWS: dict[UsedRowKind, tuple[type[RevisionedModel], Callable[[Any], str]]] = {
    UsedRowKind.LICENCE: (Licence, _licence),
    UsedRowKind.SUPERVISOR_LICENCE: (Licence, _licence),
    UsedRowKind.SIGN_OFF: (Competence, _sign_off),
    UsedRowKind.SUPERVISION: (Supervision, _supervision),
    UsedRowKind.LIMIT: (JurisdictionLimit, _limit),
}

"""Provider preference as shown."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from clients.identity.booked_sessions import sessions_after
from clients.preference.models import Preference
from clients.preference.selectors import preference_of
from clients.preference.serializers import ProviderPreferenceOutputSerializer
from practice.core.terms import Role
from practice.http.representations import Representation
from practice.work.unit_of_work import Outcome, UnitOfWork

NO_PREFERENCE: dict[str, Any] = {
    "scope": "",
    "gender": "",
    "practitioner_ids": [],
    "stated_at": None,
    "exceptions": [],
}


def serialize_preference(_role: Role, client_id: UUID, version: int) -> Any:
    """Whom the client prefers, with the exceptions agreed to since they said so."""
    row = preference_of(client_id)
    shown = dict(NO_PREFERENCE)
    if row is not None:
        shown = {name: getattr(row, name) for name in NO_PREFERENCE}
        shown["exceptions"] = [one for one in row.exceptions if _agreed_since(row, one)]
    return ProviderPreferenceOutputSerializer({**shown, "version": version}).data


def render_preference_change(uow: UnitOfWork, outcome: Outcome) -> Representation:
    """Provider preference as it stands, with the sessions to come."""
    data = dict(serialize_preference(uow.actor.role, outcome.client_id, outcome.version))
    data["sessions"] = sessions_after(uow, outcome)
    return Representation(data, outcome.version)


def _agreed_since(row: Preference, exception: dict[str, Any]) -> bool:
    """An exception to the preference that stands now, not to an earlier one."""
    if row.stated_at is None or row.stated_recorded_at is None:
        return False
    agreed = (
        datetime.fromisoformat(exception["agreed_at"]),
        datetime.fromisoformat(exception["recorded_at"]),
        exception["version"],
    )
    return agreed > (row.stated_at, row.stated_recorded_at, row.stated_version)

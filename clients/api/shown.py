"""Rows of the clients floor as they are shown."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from clients.domain.terms import ConsentStatus
from clients.models import Client, Consent, Order, Preference
from clients.selectors import consent_of, health_history_of, orders_of, preference_of
from practice.api.roles import CLINICAL
from practice.clock import clock
from practice.domain.localtime import local_day
from practice.domain.terms import Role
from practice.eventlog import loading

PAPER = ("id", "kind", "given_on", "expires_on", "lifted_on")
ORDER = (
    *PAPER,
    "giver",
    "given_by",
    "from_date",
    "subjects",
    "sites",
    "techniques",
    "limits",
    "widest",
    "text",
    "lifted_by",
    "lifted_reason",
)
NO_CONSENT: dict[str, Any] = {
    "status": ConsentStatus.NONE,
    "consent_id": None,
    "regions": [],
    "techniques": [],
    "practitioners": [],
    "gender": "",
    "support_person": False,
    "interpreter": False,
    "given_on": None,
    "until": None,
    "form": "",
    "language": "",
    "obtained_by": "",
    "witness": "",
    "typed_name": "",
    "reason": "",
    "happened_at": None,
    "recorded_at": None,
}
NO_PREFERENCE: dict[str, Any] = {
    "scope": "",
    "gender": "",
    "practitioners": [],
    "stated_at": None,
    "exceptions": [],
}
NO_HISTORY: dict[str, Any] = {
    "status": "none",
    "reviewed": None,
    "reviewed_at": None,
    "reviewed_by": None,
    "reports": [],
}


def client(row: Client, version: int) -> dict[str, Any]:
    """A client with the version of her whole record."""
    fields = {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields}
    return {**fields, "version": version}


def consent(client_id: UUID, version: int) -> dict[str, Any]:
    """Touch consent as it stands."""
    row = consent_of(client_id)
    shown = dict(NO_CONSENT)
    if row is not None:
        shown.update({name: getattr(row, name) for name in NO_CONSENT if name != "regions"})
        shown["regions"] = row.sites
    return {**shown, "stands": _stands(client_id, row), "version": version}


def _stands(client_id: UUID, row: Consent | None) -> bool:
    """Whether the consent counts on this day of the client's own calendar."""
    if row is None or row.status != ConsentStatus.GRANTED or row.given_on is None:
        return False
    zone = Client.objects.values_list("zone", flat=True).get(pk=client_id)
    return row.until is not None and row.given_on <= local_day(clock.now(), zone) <= row.until


def preference(client_id: UUID, version: int) -> dict[str, Any]:
    """Whom she prefers, with the exceptions that she agreed to since she said so."""
    row = preference_of(client_id)
    if row is None:
        return {**NO_PREFERENCE, "version": version}
    shown = {name: getattr(row, name) for name in NO_PREFERENCE}
    shown["exceptions"] = [one for one in row.exceptions if _agreed_since(row, one)]
    return {**shown, "version": version}


def _agreed_since(row: Preference, exception: dict[str, Any]) -> bool:
    """An exception to the preference that stands now, not to an earlier one."""
    agreed = (datetime.fromisoformat(exception["agreed_at"]), exception["version"])
    return row.stated_at is not None and agreed > (row.stated_at, row.stated_version)


def health_history(client_id: UUID, version: int) -> dict[str, Any]:
    """The reviewed history and the reports that wait."""
    row = health_history_of(client_id)
    if row is None:
        return {**NO_HISTORY, "version": version}
    return {**{name: getattr(row, name) for name in NO_HISTORY}, "version": version}


def order(role: Role, row: Order) -> dict[str, Any]:
    """A paper: its content for a practitioner, its kind and dates for the desk."""
    shown = {name: getattr(row, name) for name in (ORDER if role in CLINICAL else PAPER)}
    if row.from_date is None:
        shown.pop("from_date", None)
    return shown


def orders(role: Role, client_id: UUID, version: int) -> dict[str, Any]:
    """Her papers, the newest first."""
    return {"results": [order(role, row) for row in orders_of(client_id)], "version": version}


def version_of(client_id: UUID) -> int:
    """The version of her whole record."""
    return loading.version_of(client_id)

"""Touch consent as shown."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from clients.consent.domain.terms import ConsentStatus
from clients.consent.models import Consent
from clients.consent.selectors import consent_of
from clients.consent.serializers import ConsentOutputSerializer
from clients.identity.models import Client
from practice.clock import clock
from practice.core.localtime import local_day
from practice.core.terms import Role

NO_CONSENT: dict[str, Any] = {
    "status": ConsentStatus.NONE,
    "consent_id": None,
    "regions": [],
    "techniques": [],
    "practitioner_ids": [],
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
    "occurred_at": None,
    "recorded_at": None,
}


def serialize_consent(_role: Role, client_id: UUID, version: int) -> Any:
    """Touch consent as it stands."""
    row = consent_of(client_id)
    shown = dict(NO_CONSENT)
    if row is not None:
        shown.update({name: getattr(row, name) for name in NO_CONSENT if name != "regions"})
        shown["regions"] = row.sites
    shown |= {"in_force": _consent_in_force(client_id, row), "version": version}
    return ConsentOutputSerializer(shown).data


def _consent_in_force(client_id: UUID, row: Consent | None) -> bool:
    """Whether the consent counts on this day of the client's own calendar."""
    if row is None or row.status != ConsentStatus.GRANTED or row.given_on is None:
        return False
    zone = Client.objects.values_list("zone", flat=True).get(pk=client_id)
    return row.until is not None and row.given_on <= local_day(clock.now(), zone) <= row.until

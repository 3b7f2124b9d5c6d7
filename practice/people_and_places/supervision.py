"""Who may supervise whom: by credential, and never in a circle."""

from __future__ import annotations

from datetime import date
from uuid import UUID

import msgspec

from practice.core.terms import Credential
from practice.people_and_places.models.practitioners import Supervision


class SupervisionSettings(msgspec.Struct, frozen=True, kw_only=True):
    """Group ``supervision``. ``may_supervise``: a supervisor's credential to the credentials
    supervised by it; one that is not named supervises nobody."""

    may_supervise: dict[Credential, tuple[Credential, ...]]

    def entitled(self, supervisor: Credential, supervised: Credential) -> bool:
        """Whether someone of one credential may supervise someone of another."""
        return supervised in self.may_supervise.get(supervisor, ())


def supervised_by(practitioner_id: UUID, day: date) -> frozenset[UUID]:
    """Everyone whom a practitioner supervises on a day, anywhere, and whom those supervise."""
    found: set[UUID] = set()
    asked = {practitioner_id}
    rows = list(Supervision.objects.filter(day=day).values_list("supervisor_id", "supervised_id"))
    while asked:
        below = {one for supervisor, one in rows if supervisor in asked}
        asked = below - found
        found |= below
    return frozenset(found)

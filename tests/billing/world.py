"""A practice with a payer and a client, for billing's tests over HTTP."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from practice.core.terms import Role, SessionPart
from sessions.notes.domain.events import NoteSigned
from tests.billing.practice_rows import note_on, payer, sign
from tests.builders import Api, Built, build_practice, ok


class World:
    """The practice of the builders, Lakeshore as payer, one client."""

    def __init__(self) -> None:
        self.built: Built = build_practice()
        self.payer = payer()
        self.owner, self.desk, self.paula, self.billing = (
            self.built.api(role)
            for role in (Role.OWNER, Role.FRONT_DESK, Role.PRACTITIONER, Role.BILLING)
        )
        self.client_id = self.register(self.built.east.pk)

    def payer_revision(self) -> int:
        """What a change of the payer's rules names as If-Match."""
        return int(ok(self.billing.get(f"payers/{self.payer.pk}"))["revision"])

    def register(self, facility_id: UUID) -> UUID:
        """A client who is known at a facility."""
        body = {
            "given_name": "Ada",
            "family_name": "Lindqvist",
            "birth_date": "1961-07-04",
            "facility_ids": [str(facility_id)],
            "contact_by": "none",
        }
        return UUID(ok(self.owner.post("clients", body), 201)["id"])

    def body(self, **changes: Any) -> dict[str, Any]:
        """An authorization of ten visits and twenty units from March to May 2026."""
        standard = {
            "payer_id": str(self.payer.pk),
            "number": "PA-417",
            "member_id": "LHP-99812",
            "starts_on": "2026-03-01",
            "ends_on": "2026-05-31",
            "visits": 10,
            "units": 20,
        }
        return {**standard, **changes}

    def authorize(self, by: Api | None = None, **changes: Any) -> dict[str, Any]:
        """Record it."""
        path = f"clients/{self.client_id}/authorizations"
        made: dict[str, Any] = ok((by or self.desk).post(path, self.body(**changes)), 201)
        return made

    def sign(self, number: int = 0, **minutes: int) -> NoteSigned:
        """Sign a note on the day ``number`` days after 2 March 2026."""
        given = {SessionPart(part): count for part, count in minutes.items()} or None
        note = note_on(number, given)
        sign(self.client_id, note)
        return note

    def visits(self, **query: Any) -> list[dict[str, Any]]:
        """Billing's list."""
        found: list[dict[str, Any]] = ok(self.billing.get("visits", query))["results"]
        return found

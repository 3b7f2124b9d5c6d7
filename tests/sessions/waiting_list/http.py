"""Requests of the tests of the waiting list."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID

from practice.clock import clock
from practice.core.terms import Credential, Role
from tests.builders import Built, ok
from tests.sessions.booking.http import key
from tests.sessions.series.http import NOW, send


def waits(built: Built, client: UUID, **wanted: Any) -> dict[str, Any]:
    """A client put on the list by the desk for an hour, whenever, unless more is said."""
    sent = {"minutes": 60, **wanted}
    added: dict[str, Any] = ok(
        built.api(Role.FRONT_DESK).post(f"clients/{client}/waiting", sent), 201
    )
    return added


def free(built: Built, starts_at: str, **changes: Any) -> dict[str, str]:
    """A free hour of the physical therapist in the east."""
    return {
        "practitioner_id": str(built.practitioners[Credential.PHYSICAL_THERAPIST].pk),
        "facility_id": str(built.east.pk),
        "starts_at": starts_at,
        "minutes": "60",
        **changes,
    }


def who_fits(built: Built, starts_at: str, role: Role = Role.FRONT_DESK, **changes: Any) -> Any:
    return ok(built.api(role).get("waiting-fits", free(built, starts_at, **changes)))


def offer(built: Built, waiting_id: str, starts_at: str, **changes: Any) -> Any:
    sent = {k: v for k, v in free(built, starts_at, **changes).items() if k != "minutes"}
    return built.api(Role.FRONT_DESK).post(f"waiting-list/{waiting_id}/offers", sent)


def answer(built: Built, waiting_id: str, what: str, body: Any = None) -> Any:
    path = f"waiting-list/{waiting_id}/{what}"
    return built.api(Role.FRONT_DESK).post(path, body or {}, key=key())


def later(built: Built, minutes: int, client: UUID, **wanted: Any) -> dict[str, Any]:
    """Put on the list some minutes later than others."""
    with clock.at(NOW + timedelta(minutes=minutes)):
        return waits(built, client, **wanted)


def clients(answered: dict[str, Any]) -> list[str]:
    return [one["client_id"] for one in answered["results"]]


def call_off(built: Built, session_id: str) -> dict[str, Any]:
    sent = {"by": "client", "reason": "Has a cold."}
    answered: dict[str, Any] = ok(send(built, f"sessions/{session_id}/cancellation", sent))
    return answered

"""Requests of the tests of absences and closures, on a Monday noon in the east."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from practice.core.terms import Credential, Role
from tests.builders import Built, ok
from tests.sessions.booking.http import book, key
from tests.sessions.series.http import start

DAY = "2026-03-17"
TEN = start(DAY, "10:00")


def paula(built: Built) -> str:
    return str(built.practitioners[Credential.PHYSICAL_THERAPIST].pk)


def olga(built: Built) -> str:
    return str(built.practitioners[Credential.OCCUPATIONAL_THERAPIST].pk)


def marco(built: Built) -> str:
    return str(built.practitioners[Credential.MASSAGE_THERAPIST].pk)


def absent(built: Built, role: Role = Role.FRONT_DESK, **changes: Any) -> Any:
    """Paula is ill on the Tuesday of the week after, unless more is said."""
    sent = {"practitioner_id": paula(built), "first_day": DAY, "kind": "ill", **changes}
    return built.api(role).post("absences", {k: v for k, v in sent.items() if v is not None})


def close(built: Built, role: Role = Role.FRONT_DESK, **changes: Any) -> Any:
    """The east is closed for snow that Tuesday."""
    sent = {"facility_id": str(built.east.pk), "first_day": DAY, "reason": "Snow.", **changes}
    return built.api(role).post("closures", {k: v for k, v in sent.items() if v is not None})


def recorded(built: Built, **changes: Any) -> dict[str, Any]:
    found: dict[str, Any] = ok(absent(built, **changes), 201)
    return found


def closed(built: Built, **changes: Any) -> dict[str, Any]:
    found: dict[str, Any] = ok(close(built, **changes), 201)
    return found


def move_all(built: Built, row: dict[str, Any], *moves: dict[str, Any], **more: Any) -> Any:
    kind = "absences" if "kind" in row else "closures"
    sent = {"moves": list(moves), "reason": "The practitioner is ill.", **more}
    return built.api(Role.FRONT_DESK).post(f"{kind}/{row['id']}/moves", sent, key=key())


def met(built: Built, row: dict[str, Any], role: Role = Role.FRONT_DESK) -> list[dict[str, Any]]:
    kind = "absences" if "kind" in row else "closures"
    answered = ok(built.api(role).get(f"{kind}/{row['id']}/sessions"))
    found: list[dict[str, Any]] = answered["results"]
    return found


def booked(built: Built, client: UUID, clock: str = "10:00", **changes: Any) -> str:
    return str(book(built, client, start(DAY, clock), **changes)["id"])


def names(found: list[dict[str, Any]]) -> list[str]:
    return [one["practitioner_name"] for one in found]


def to_call(built: Built, role: Role = Role.FRONT_DESK) -> list[dict[str, Any]]:
    listed: list[dict[str, Any]] = ok(built.api(role).get("call-list"))["results"]
    return listed

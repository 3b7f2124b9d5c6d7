"""Requests of the calendar's tests: book, arrive, at times that can be foretold."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from practice.clock import clock
from practice.core.terms import Credential, Role
from tests.builders import Api, Built, ok

WELL = {
    "hands_on_today": "yes",
    "pain_now": 1,
    "feverish": False,
    "swelling": [],
    "new_symptoms": [],
    "fatigue": 2,
}


def key() -> str:
    return str(uuid4())


def local(days: int, hour: int = 10, minute: int = 0, zone: str = "America/New_York") -> str:
    """An instant on the facility's clock, some days from today."""
    day = clock.now().astimezone(ZoneInfo(zone)).date() + timedelta(days=days)
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=ZoneInfo(zone)).isoformat()


def body(built: Built, client_id: UUID, starts_at: Any, /, **changes: Any) -> dict[str, Any]:
    """What is sent to book an hour with the physical therapist in the east."""
    values: dict[str, Any] = {
        "client_id": str(client_id),
        "practitioner_id": str(built.practitioners[Credential.PHYSICAL_THERAPIST].pk),
        "facility_id": str(built.east.pk),
        "starts_at": starts_at,
        "minutes": 60,
        **changes,
    }
    return {name: value for name, value in values.items() if value is not None}


def book(built: Built, client_id: UUID, starts_at: Any, **changes: Any) -> dict[str, Any]:
    """A session booked by the desk."""
    sent = body(built, client_id, starts_at, **changes)
    booked: dict[str, Any] = ok(built.api(Role.FRONT_DESK).post("sessions", sent, key=key()), 201)
    return booked


def took_place(built: Built, client_id: UUID, **answers: Any) -> dict[str, Any]:
    """A session entered after it took place yesterday, with its arrival answers."""
    return book(
        built,
        client_id,
        local(-1),
        attendance="attended",
        answers={**WELL, **answers},
    )


def practitioner_api(built: Built) -> Api:
    return built.api(Role.PRACTITIONER)

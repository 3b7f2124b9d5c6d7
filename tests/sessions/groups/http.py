"""Requests of the classes' tests."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from practice.core.terms import Credential, Role
from tests.builders import Built, ok
from tests.sessions.booking.http import key, local


def class_body(built: Built, starts_at: Any = None, /, **changes: Any) -> dict[str, Any]:
    """What is sent to make a class of 45 minutes with three places in the east."""
    values: dict[str, Any] = {
        "title": "Strength and balance",
        "practitioner_id": str(built.practitioners[Credential.PHYSICAL_THERAPIST].pk),
        "facility_id": str(built.east.pk),
        "starts_at": starts_at or local(3),
        "minutes": 45,
        "capacity": 3,
        **changes,
    }
    return {name: value for name, value in values.items() if value is not None}


def made(built: Built, starts_at: Any = None, /, **changes: Any) -> dict[str, Any]:
    """A class made by the desk."""
    sent = class_body(built, starts_at, **changes)
    answer: dict[str, Any] = ok(built.api(Role.FRONT_DESK).post("classes", sent, key=key()), 201)
    return answer


def ask_place(built: Built, class_id: str, client_id: UUID, **more: Any) -> Any:
    """The desk's request for a place, answered however it is."""
    sent = {"client_id": str(client_id), **more}
    return built.api(Role.FRONT_DESK).post(f"classes/{class_id}/places", sent, key=key())


def placed(built: Built, class_id: str, client_id: UUID) -> dict[str, Any]:
    """A place that was given: the session, and what is left."""
    answer: dict[str, Any] = ok(ask_place(built, class_id, client_id), 201)
    return answer


def read(built: Built, class_id: str) -> dict[str, Any]:
    """The class as the desk reads it."""
    answer: dict[str, Any] = ok(built.api(Role.FRONT_DESK).get(f"classes/{class_id}"))
    return answer


def act(built: Built, class_id: str, what: str, **sent: Any) -> Any:
    """The desk moves a class or calls it off, answered however it is."""
    return built.api(Role.FRONT_DESK).post(f"classes/{class_id}/{what}", sent, key=key())

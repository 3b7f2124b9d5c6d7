"""Stories over HTTP: a stretch on a client's programme, measured, discharged, re-checked."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from practice.clock import clock
from practice.core.terms import Role
from tests.builders import Api, Built, ok

STRETCH = "abduction_pattern"


def days_ago(days: int) -> str:
    return (clock.now() - timedelta(days=days)).isoformat()


def reading(degrees: int, **more: Any) -> dict[str, Any]:
    return {
        "movement": "shoulder_abduction",
        "side": "right",
        "motion": "active",
        "degrees": degrees,
        "position": "sitting",
        "instrument": "goniometer",
        **more,
    }


def measure(api: Api, client_id: UUID, degrees: int, **more: Any) -> Any:
    return ok(api.post(f"clients/{client_id}/range-of-motion", reading(degrees, **more)), 201)


def discharged(
    built: Built, client_id: UUID, days: int = 70, *, degrees: int = 180, **more: Any
) -> Any:
    """Prescribed, begun, measured at goal and discharged, all entered today."""
    api = built.api(Role.PRACTITIONER)
    made = ok(
        api.post(
            f"clients/{client_id}/stretches",
            {
                "stretch": STRETCH,
                "side": "right",
                "facility_id": str(built.east.pk),
                "occurred_at": days_ago(days + 30),
            },
        ),
        201,
    )
    step = f"stretches/{made['id']}"
    ok(api.post(f"{step}/start", {"occurred_at": days_ago(days + 30)}))
    measure(api, client_id, degrees, occurred_at=days_ago(days + 1))
    return ok(api.post(f"{step}/discharge", {"occurred_at": days_ago(days), **more}))


def first_open(built: Built, client_id: UUID, role: Role = Role.FRONT_DESK) -> Any:
    rows = ok(built.api(role).get("rechecks", {"client_id": str(client_id), "open": "true"}))
    return rows["results"][0]


def moment(text: str) -> datetime:
    return datetime.fromisoformat(text)

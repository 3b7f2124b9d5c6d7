"""What the demo's records say: a history, an authorization, a note of a week."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any
from uuid import uuid4

from practice.demo.clients import COURSES, Course


def health_history(course: Course, operated_on: date) -> dict[str, Any]:
    """What was done, when, and how it heals."""
    healed = {"incision_healed": True, "drains_out": True, "expander_in": False}
    donor = {"donor_incision_healed": True} if "latissimus" in course.operation else {}
    operation = {
        "kind": course.operation,
        "side": course.side,
        "on": operated_on.isoformat(),
        **healed,
        **donor,
    }
    return {"operations": [operation], "radiations": [], "conditions": [], "usual_pain": 2}


def authorization(course: Course, payer_id: str, first_day: date) -> dict[str, Any]:
    """What the client's payer authorized."""
    number = f"LHP-{2000 + COURSES.index(course) * 37}"
    return {
        "payer_id": payer_id,
        "number": number,
        "member_id": f"{number}-M",
        "starts_on": (first_day - timedelta(days=3)).isoformat(),
        "ends_on": (first_day + timedelta(days=180)).isoformat(),
        "visits": course.visits,
        "units": course.visits * 4,
    }


def note(course: Course, week: int, stretches: Iterable[str]) -> dict[str, Any]:
    """What was done, more cardio and strength as the weeks go by."""
    moved = min(20, 2 * week)  # Minutes that went over to cardio and strength.
    massage = course.practitioner == "mira"
    return {
        "device": f"{course.practitioner}-tablet",
        "sequence": 1,
        "subjective": "Reaches a little higher at home.",
        "objective": "No hitching at the end of the range.",
        "assessment": "Range comes back as expected.",
        "plan": "Go on as planned.",
        "minutes": {
            "stretching": 50 if massage else 45 - moved,
            "cardio": 0 if massage else 5 + moved // 2,
            "strength": 0 if massage else moved // 2,
            "measuring_and_talk": 5,
        },
        "not_counted_minutes": 5,
        "lines": [_line(course, stretch) for stretch in stretches],
    }


def _line(course: Course, stretch: str) -> dict[str, Any]:
    """One stretch as it was done: under the client's own power, guided by voice."""
    return {
        "line_id": str(uuid4()),
        "stretch": stretch,
        "technique": "active_isolated",
        "side": course.side,
        "mode": "self_directed",
        "repetitions": 10,
        "hold_seconds": 2,
        "response": "comfortable",
    }

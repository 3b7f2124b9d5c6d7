"""What the demo's records say: a history, a consent, an authorization, a note of a week."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any
from uuid import uuid4

from practice.demo.clients import Course

REGIONS = ("head_and_neck", "shoulder", "arm", "chest", "upper_back", "lower_back")
MASSAGE = ("mira", "sunniva")
"""Practitioners whose whole hour is stretching."""
FACILITY_PHONES_END = 22
"""The client's number in the row of made-up phones at which that of a facility is left out."""
CONSENTS: dict[str, dict[str, Any]] = {
    "guardian": {"signer": "guardian"},
    "interpreter": {"interpreter_name": "Luz Ferrer", "interpreter_of_age": True},
    "spoken": {"form": "spoken_with_witness", "witness": "Saskia Thorn"},
}
"""What a consent says that was obtained in another way than by the client's paper."""


def personal_details(course: Course, number: int, facility_id: str) -> dict[str, Any]:
    """Who the client is, and how to reach them; ``number``: which of the demo's clients."""
    mail = f"{course.given_name or 'mail'}.{course.family_name}@example.org".lower()
    area = "415" if course.facility == "harbor" else "215"
    phone = f"+1{area}555{101 + number + (number >= FACILITY_PHONES_END):04d}"
    return {
        "given_name": course.given_name,
        "family_name": course.family_name,
        "birth_date": course.birth_date,
        "email": "".join(mail.split()).encode("ascii", "ignore").decode(),
        "phones": [{"number": phone, "texts": course.contact_by == "text"}],
        "contact_by": course.contact_by,
        "facility_ids": [facility_id],
        **course.details,
    }


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


def touch_consent(course: Course, signed_on: date) -> dict[str, Any]:
    """The upper body on both sides, for a year."""
    how = CONSENTS.get(course.consent, {})
    paper = {} if "form" in how else {"form": "paper", "signed_on": signed_on.isoformat()}
    return {
        "regions": [{"region": region, "side": "both"} for region in REGIONS],
        "techniques": ["active_isolated", "contract_relax", "passive"],
        "until": (signed_on + timedelta(days=360)).isoformat(),
        "obtained_by": "Pilar Quist",
        "language": course.details.get("language", "en"),
        **paper,
        **how,
    }


def authorization(course: Course, number: int, payer_id: str, first_day: date) -> dict[str, Any]:
    """What the client's payer authorized; ``number``: which of the demo's clients."""
    authorized = f"LHP-{2000 + number * 37}"
    return {
        "payer_id": payer_id,
        "number": authorized,
        "member_id": f"{authorized}-M",
        "starts_on": (first_day - timedelta(days=3)).isoformat(),
        "ends_on": (first_day + timedelta(days=180)).isoformat(),
        "visits": course.visits,
        "units": course.visits * 4,
    }


def note(course: Course, week: int, stretches: Iterable[str]) -> dict[str, Any]:
    """What was done, more cardio and strength as the weeks go by."""
    moved = min(20, 2 * (week - course.first_week))  # Minutes over to cardio and strength.
    worked = course.minutes - 10
    massage = course.practitioner in MASSAGE
    return {
        "device": f"{course.practitioner}-tablet",
        "sequence": 1,
        "subjective": "Reaches a little higher at home.",
        "objective": "No hitching at the end of the range.",
        "assessment": "Range comes back as expected.",
        "plan": "Go on as planned.",
        "minutes": {
            "stretching": worked if massage else worked - 5 - moved,
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

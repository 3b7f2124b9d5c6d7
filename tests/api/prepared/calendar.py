"""Examples of the calendar: what is booked, who waits, absences, kinds, feeds."""

from __future__ import annotations

from typing import Any, Final

from practice.core.terms import Role
from tests.api.prepared.practice import Before, Make, Prepared


def booked(p: Prepared, starts_at: str = "2026-03-16T09:30:00-04:00", **more: Any) -> str:
    body = {
        "client_id": p.id("client"),
        "practitioner_id": p.id("practitioner"),
        "facility_id": p.id("facility"),
        "starts_at": starts_at,
        "minutes": 60,
        **more,
    }
    return str(p.post("sessions", body, Role.FRONT_DESK)["id"])


def _series(p: Prepared) -> str:
    body = {
        "client_id": p.id("client"),
        "practitioner_id": p.id("practitioner"),
        "facility_id": p.id("facility"),
        "starts_at": {"local": "2026-03-17T15:00"},
        "minutes": 60,
        "recurrence": "FREQ=WEEKLY;BYDAY=TU,TH;COUNT=4",
    }
    return str(p.post("session-series", body, Role.FRONT_DESK)["id"])


def _class(p: Prepared) -> str:
    body = {
        "title": "Strength and balance",
        "practitioner_id": p.id("practitioner"),
        "facility_id": p.id("facility"),
        "starts_at": {"local": "2026-03-19T16:00"},
        "minutes": 45,
        "capacity": 6,
    }
    return str(p.post("classes", body, Role.FRONT_DESK)["id"])


def _class_with_a_place(p: Prepared) -> None:
    path = f"classes/{p.id('class')}/places"
    p.post(path, {"client_id": p.id("client")}, Role.FRONT_DESK)


def _waiting(p: Prepared) -> str:
    return str(p.post(f"clients/{p.id('client')}/waiting", {"minutes": 60}, Role.FRONT_DESK)["id"])


def _offered(p: Prepared) -> None:
    body = {
        "practitioner_id": p.id("practitioner"),
        "facility_id": p.id("facility"),
        "starts_at": "2026-03-17T10:00:00-04:00",
    }
    p.post(f"waiting-list/{p.id('waiting')}/offers", body, Role.FRONT_DESK)


def _absence(p: Prepared) -> str:
    """The practitioner of the session that is booked is absent on its day."""
    p.id("session")
    body = {"practitioner_id": p.id("practitioner"), "first_day": "2026-03-16", "kind": "ill"}
    return str(p.post("absences", body, Role.FRONT_DESK)["id"])


def _closure(p: Prepared) -> str:
    p.id("session")
    body = {"facility_id": p.id("facility"), "first_day": "2026-03-16", "reason": "Snow."}
    return str(p.post("closures", body, Role.FRONT_DESK)["id"])


def _extra_hours(p: Prepared) -> str:
    body = {
        "practitioner_id": p.id("practitioner"),
        "facility_id": p.id("facility"),
        "day": "2026-03-22",
        "starts": "18:00",
        "ends": "20:00",
    }
    return str(p.post("extra-hours", body, Role.FRONT_DESK)["id"])


def _holiday_opening(p: Prepared) -> str:
    body = {"facility_id": p.id("facility"), "day": "2026-12-25"}
    return str(p.post("holiday-openings", body, Role.FRONT_DESK)["id"])


def _kind(p: Prepared) -> str:
    body = {"name": "Follow-up", "purpose": "treatment", "default_minutes": 45}
    return str(p.post("session-kinds", body)["id"])


def _held_slot(p: Prepared) -> str:
    whose = {"practitioner_id": p.id("practitioner"), "facility_id": p.id("facility")}
    body = {**whose, "weekday": 5, "starts": "10:00", "ends": "12:00"}
    return str(p.post("held-slots", body)["id"])


def _travel_time(p: Prepared) -> str:
    both = {"facility_id": str(p.built.east.pk), "other_facility_id": str(p.built.west.pk)}
    return str(p.post("travel-times", {**both, "minutes": 35})["id"])


def _feed(p: Prepared) -> str:
    whose = {"facility_id": str(p.built.east.pk), "label": "Front desk"}
    maker = Role.PRACTITIONER if p.role in (None, Role.BILLING) else p.role
    made = p.post("calendar-feeds", whose, maker)
    p.made["secret"] = made["path"].rsplit("/", 1)[1].removesuffix(".ics")
    return str(made["id"])


def _secret(p: Prepared) -> str:
    _feed(p)
    return p.made["secret"]


def _started_unattended(p: Prepared) -> None:
    p.made["session"] = booked(p, "2026-03-09T12:30:00-04:00")
    p.now("2026-03-09T12:45:00-04:00")


def someone_to_call(p: Prepared) -> None:
    """A session that narrowed since it was booked."""
    p.id("session")
    p.post(f"clients/{p.id('client')}/touch-consent/withdrawal", {})


THINGS: Final[dict[str, Make]] = {
    "session": booked,
    "met_session": lambda p: p.id("session"),
    "session_of_closure": lambda p: p.id("session"),
    "series": _series,
    "class": _class,
    "waiting": _waiting,
    "absence": _absence,
    "closure": _closure,
    "extra_hours": _extra_hours,
    "holiday_opening": _holiday_opening,
    "kind": _kind,
    "held_slot": _held_slot,
    "travel_time": _travel_time,
    "feed": _feed,
    "secret": _secret,
}

BEFORE: Final[dict[str, Before]] = {
    "absence-moves-POST": lambda p: p.id("absence"),
    "session-replans-POST": someone_to_call,
    "class-move-POST": _class_with_a_place,
    "class-cancellation-POST": _class_with_a_place,
    "closure-moves-POST": lambda p: p.id("closure"),
    "waiting-acceptance-POST": _offered,
    "waiting-decline-POST": _offered,
    "session-no-show-POST": _started_unattended,
    "session-arrival-POST": _started_unattended,
}

"""Sessions and facts that the calendar's tests start from."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from practice.core.terms import Credential, Mode
from sessions.booking.domain.commands import (
    BookingFacts,
    ConflictWith,
    PreferenceFinding,
    SchedulingConflict,
    Slot,
)
from sessions.calendar.domain.events import SessionArrived, SessionBooked
from sessions.calendar.domain.settings import CalendarSettings
from sessions.calendar.domain.terms import (
    HandsOnToday,
    PermissionsSnapshot,
    SubmittedArrivalAnswers,
)
from tests.dsl import NOW

SESSION = UUID(int=501)
OTHER = UUID(int=502)
PRACTITIONER_ID = UUID(int=112)
FACILITY = UUID(int=301)
ROOM = UUID(int=401)
ZONE = "America/New_York"
AHEAD = NOW + timedelta(days=3)
SETTINGS = CalendarSettings(
    shortest_session_minutes=15,
    longest_session_minutes=180,
    start_grace_minutes=15,
    arrival_hours_before=12,
    late_cancellation_hours=24,
    open_times_step_minutes=15,
    open_times_days=366,
    afternoon_hour=12,
    evening_hour=17,
    late_entry_days=366,
    longest_overrun_minutes=120,
    open_weekdays=(1, 2, 3, 4, 5),
    closed_days=(),
    no_show_days=90,
    no_show_warning=3,
    closes_on_public_holidays=False,
    absence_sessions_shown=20,
    far_ahead_months=12,
)
HANDS_ON = PermissionsSnapshot(
    mode=Mode.HANDS_ON, settings={"permissions": 4}, limit_rows=(UUID(int=9),)
)


def evaluated(mode: Mode, *reasons: Any) -> PermissionsSnapshot:
    return PermissionsSnapshot(mode=mode, reasons=tuple(reasons), settings={"permissions": 4})


def slot(starts_at: datetime = AHEAD, minutes: float = 60, **changes: Any) -> Slot:
    values: dict[str, Any] = {
        "practitioner_id": PRACTITIONER_ID,
        "credential": Credential.PHYSICAL_THERAPIST,
        "facility_id": FACILITY,
        "room_id": ROOM,
        "starts_at": starts_at,
        "ends_at": starts_at + timedelta(minutes=minutes),
        "zone": ZONE,
    }
    return Slot(**{**values, **changes})


def facts(
    at: Slot | None = None,
    *,
    permissions: PermissionsSnapshot = HANDS_ON,
    conflicts: tuple[SchedulingConflict, ...] = (),
    preference: PreferenceFinding | None = None,
    session_id: UUID = SESSION,
) -> BookingFacts:
    return BookingFacts(
        session_id=session_id,
        slot=at or slot(),
        permissions=permissions,
        settings=SETTINGS,
        conflicts=conflicts,
        preference=preference or PreferenceFinding(),
    )


def conflict(*kinds: ConflictWith) -> tuple[SchedulingConflict, ...]:
    return tuple(
        SchedulingConflict(
            taken=kind,
            session_id=OTHER,
            starts_at=AHEAD,
            ends_at=AHEAD + timedelta(minutes=60),
        )
        for kind in kinds
    )


def booked(session_id: UUID = SESSION, at: Slot | None = None, **changes: Any) -> SessionBooked:
    place = at or slot()
    values: dict[str, Any] = {
        "session_id": session_id,
        "practitioner_id": place.practitioner_id,
        "credential": place.credential,
        "facility_id": place.facility_id,
        "room_id": place.room_id,
        "starts_at": place.starts_at,
        "ends_at": place.ends_at,
        "zone": place.zone,
        "local_date": place.local_start.date(),
        "planned_mode": Mode.HANDS_ON,
        "permissions": HANDS_ON,
    }
    return SessionBooked(**{**values, **changes})


def arrived(
    session_id: UUID = SESSION, permissions: PermissionsSnapshot = HANDS_ON
) -> SessionArrived:
    return SessionArrived(
        session_id=session_id,
        answers=SubmittedArrivalAnswers(pain_now=2, hands_on_today=HandsOnToday.YES),
        permissions=permissions,
    )

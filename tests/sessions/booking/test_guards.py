"""The database's own guard: no practitioner, room or client in two places."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.core.management import call_command
from django.db import IntegrityError, transaction

from practice.core.reasons import Rejected
from sessions.booking.services.conflicts import conflicts_refused
from sessions.calendar import guards
from sessions.calendar.models import Session
from tests.sessions.booking.examples import AHEAD, SESSION, slot

pytestmark = pytest.mark.django_db

PAULA, ROOM, CLIENT = UUID(int=1), UUID(int=2), UUID(int=3)


def row(minutes_later: int = 0, **changes: Any) -> Session:
    starts_at = AHEAD + timedelta(minutes=minutes_later)
    values: dict[str, Any] = {
        "id": uuid4(),
        "client_id": uuid4(),
        "version": 1,
        "practitioner_id": uuid4(),
        "facility_id": uuid4(),
        "room_id": None,
        "starts_at": starts_at,
        "ends_at": starts_at + timedelta(minutes=60),
        "local_date": starts_at.date(),
        "local_end_date": starts_at.date(),
        "zone": "UTC",
        "status": "booked",
        "purpose": "treatment",
        "requested_mode": "hands_on",
        "planned_mode": "hands_on",
        "mode": "hands_on",
        "credential": "physical_therapist",
    }
    return Session(**{**values, **changes})


SHARED: dict[str, dict[str, Any]] = {
    "session_practitioner_free": {"practitioner_id": PAULA},
    "session_room_free": {"room_id": ROOM},
    "session_client_free": {"client_id": CLIENT},
}


def test_the_guards_stand_after_migrate() -> None:
    assert guards.installed_session_guards() == set(guards.GUARDS)
    assert guards.check_session_guards(databases=["default"]) == []


@pytest.mark.parametrize("name", sorted(SHARED))
def test_an_overlap_is_refused_by_the_guard_that_it_breaks(name: str) -> None:
    row(**SHARED[name]).save()
    with pytest.raises(IntegrityError, match=name), transaction.atomic():
        row(30, **SHARED[name]).save()


@pytest.mark.parametrize("name", sorted(SHARED))
def test_sessions_that_touch_do_not_overlap(name: str) -> None:
    row(**SHARED[name]).save()
    row(60, **SHARED[name]).save()
    assert Session.objects.count() == 2


@pytest.mark.parametrize("status", ["cancelled", "no_show", "completed"])
def test_only_booked_and_arrived_sessions_hold_their_time(status: str) -> None:
    row(practitioner_id=PAULA, status=status).save()
    row(practitioner_id=PAULA, status="arrived").save()
    with pytest.raises(IntegrityError), transaction.atomic():
        row(30, practitioner_id=PAULA).save()


def test_an_overlap_that_happened_is_let_through() -> None:
    row(practitioner_id=PAULA).save()
    row(30, practitioner_id=PAULA, status="arrived", late_entry=True).save()
    assert Session.objects.count() == 2


def test_a_moved_row_is_checked_too() -> None:
    row(practitioner_id=PAULA).save()
    later = row(120, practitioner_id=PAULA)
    later.save()
    later.starts_at -= timedelta(minutes=90)
    later.ends_at -= timedelta(minutes=90)
    with pytest.raises(IntegrityError, match="session_practitioner_free"), transaction.atomic():
        later.save()


def test_the_guards_refusal_reads_as_a_taken_time() -> None:
    row(practitioner_id=PAULA).save()
    with (
        pytest.raises(Rejected) as refused,
        transaction.atomic(),
        conflicts_refused(slot(), SESSION),
    ):
        row(30, practitioner_id=PAULA).save()
    assert refused.value.code == "time_taken"
    assert refused.value.extra["taken"] == ["practitioner"]


def test_another_integrity_error_is_not_taken_for_a_taken_time() -> None:
    one = row()
    one.save()
    with pytest.raises(IntegrityError), transaction.atomic(), conflicts_refused(slot(), SESSION):
        Session.objects.bulk_create([row(600, id=one.id)])


def test_lost_guards_are_told_by_the_check_and_come_back_with_migrate() -> None:
    with guards.session_guards_dropped():
        assert [one.id for one in guards.check_session_guards(databases=["default"])] == [
            "client_sessions.E001"
        ]
    assert guards.installed_session_guards() == set(guards.GUARDS)
    call_command("check", databases=["default"], verbosity=0)

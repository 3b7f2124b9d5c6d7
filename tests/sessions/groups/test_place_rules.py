"""The rules of places: who may stand beside whom, who is to be in no group, until when."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from uuid import UUID, uuid4

import pytest

from clients.permissions.domain.results import HandsOnExtent
from practice.core.reasons import Reason, Rejected
from practice.core.terms import Credential, Mode, Role
from sessions.booking.domain.commands import ConflictWith, Slot
from sessions.booking.services.conflicts import find_conflicts
from sessions.calendar.domain.class_places import ClassPlaces, check_place, together
from sessions.calendar.domain.session_state import SessionStatus
from sessions.calendar.domain.terms import PermissionsSnapshot
from sessions.calendar.models import ExerciseClass
from sessions.groups.domain.rules import check_ahead
from tests.builders import build_practice
from tests.sessions.booking.http import body, key, local
from tests.sessions.groups.http import ask_place, class_body, made, placed
from tests.sessions.people import registered

ONE, OTHER = UUID(int=1), UUID(int=2)
NOON = datetime(2026, 3, 9, 16, tzinfo=UTC)
FREE = ClassPlaces(capacity=3, taken=2)


def permissions(*codes: str) -> PermissionsSnapshot:
    reasons = tuple(Reason(code=code, text="x", source="x") for code in codes)
    return PermissionsSnapshot(
        mode=Mode.SELF_DIRECTED, extent=HandsOnExtent.NOTHING, reasons=reasons
    )


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [(ONE, ONE, True), (ONE, OTHER, False), (None, ONE, False), (None, None, False)],
)
def test_only_places_of_one_class_stand_side_by_side(
    one: UUID | None, other: UUID | None, expected: bool
) -> None:
    assert together(one, other) is expected


def test_who_is_to_be_in_no_group_has_no_place() -> None:
    """Neutrophils under 500 per µL: no group (practice policy)."""
    check_place(FREE, Mode.SELF_DIRECTED, permissions("consent.none"))
    with pytest.raises(Rejected) as refused:
        check_place(FREE, Mode.SELF_DIRECTED, permissions("blood.neutrophils_clearance"))
    assert refused.value.code == "not_in_a_group"
    assert [one.code for one in refused.value.reasons] == ["blood.neutrophils_clearance"]


@pytest.mark.parametrize(
    ("starts_at", "status", "allowed"),
    [
        (NOON + timedelta(minutes=1), SessionStatus.BOOKED, True),
        (NOON, SessionStatus.BOOKED, False),
        (NOON + timedelta(minutes=1), SessionStatus.ARRIVED, False),
    ],
)
def test_a_class_is_changed_until_it_begins(
    starts_at: datetime, status: SessionStatus, allowed: bool
) -> None:
    if allowed:
        check_ahead(starts_at, [status], NOON, is_cancelled=False)
        return
    with pytest.raises(Rejected) as refused:
        check_ahead(starts_at, [status], NOON, is_cancelled=False)
    assert refused.value.code == "class_under_way"


@pytest.mark.django_db
def test_a_place_takes_the_practitioner_from_everything_but_its_class() -> None:
    """Whatever the row of the class says: a session at the time of a place clashes with it."""
    built = build_practice()
    group = made(built)
    placed(built, group["id"], registered(built))
    ExerciseClass.objects.update(is_cancelled=True)
    answer = built.api(Role.FRONT_DESK).post("classes", class_body(built), key=key())
    assert (answer.status_code, answer.json()["taken"]) == (409, ["practitioner"])
    ExerciseClass.objects.update(is_cancelled=False)
    assert ask_place(built, group["id"], registered(built)).status_code == 201
    sent = body(built, registered(built), local(3))
    assert built.api(Role.FRONT_DESK).post("sessions", sent, key=key()).status_code == 409


@pytest.mark.django_db
def test_a_client_in_the_class_is_taken_and_its_practitioner_is_not() -> None:
    built = build_practice()
    group, client = made(built, room_id=str(built.rooms["East 1"].pk)), registered(built)
    placed(built, group["id"], client)
    row = ExerciseClass.objects.get()
    slot = Slot(
        practitioner_id=row.practitioner_id,
        credential=Credential.PHYSICAL_THERAPIST,
        facility_id=row.facility_id,
        room_id=row.room_id,
        starts_at=row.starts_at,
        ends_at=row.ends_at,
        zone=row.zone,
        class_id=row.pk,
    )
    assert [one.taken for one in find_conflicts(client, slot, uuid4())] == [ConflictWith.CLIENT]
    assert find_conflicts(registered(built), slot, uuid4()) == ()

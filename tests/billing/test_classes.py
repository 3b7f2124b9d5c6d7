"""A place in a class is paid as the payer's group rule says (ruling 57; CMS Transmittal 1753): one
untimed unit a client whatever the length, two or more at once, no individual minutes with it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any
from uuid import UUID

import msgspec
import pytest

from billing.authorizations.domain.events import VisitCalculated
from billing.authorizations.domain.terms import CoverageStatus, UncoveredReason
from billing.authorizations.models import Visit
from billing.payers.domain.rules import PayerRules
from billing.payers.models import ServiceCode
from practice.core.terms import Credential, Role, SessionPart
from practice.jobs.services import run_due_jobs
from sessions.calendar.models import Session
from tests.billing.practice_rows import note_on, sign
from tests.billing.streams import (
    CARDIO,
    STRENGTH,
    STRETCHING,
    TRAINER,
    Stream,
    named,
    payer_rules,
    someone_else,
)
from tests.billing.test_api_sessions import authorize
from tests.billing.world import World
from tests.builders import ok, practitioner
from tests.sessions.booking.http import WELL, book, key, local
from tests.sessions.groups.http import class_body, made, placed
from tests.sessions.notes.http import Device, whole_note

CLASS = named("class")
BESIDE = replace(someone_else("15:00", "16:00"), class_id=CLASS)


def rules(**changes: Any) -> PayerRules:
    return payer_rules(**{"group_code": "G", "untimed": frozenset({"G"}), **changes})


def signed(
    *payers: PayerRules, beside: tuple[Any, ...] = (BESIDE,), **more: Any
) -> tuple[Stream, VisitCalculated]:
    """An hour's place in the class, signed while another place of it was signed before."""
    stream = Stream(*(payers or (rules(),)))
    stream.authorize()
    minutes = {CARDIO: 25, STRENGTH: 35}
    return stream, stream.sign(minutes, starts="15:00", elsewhere=beside, class_id=CLASS, **more)


def excluded(visit: VisitCalculated) -> set[tuple[int, UncoveredReason]]:
    return {(one.minutes, one.uncovered_reason) for one in visit.excluded_minutes}


@pytest.mark.parametrize("minutes", [{CARDIO: 5}, {CARDIO: 60}, {CARDIO: 25, STRENGTH: 35}])
def test_one_untimed_unit_whatever_the_length_and_no_timed_minutes(
    minutes: dict[SessionPart, int],
) -> None:
    stream = Stream(rules())
    stream.authorize()
    visit = stream.sign(minutes, starts="15:00", elsewhere=(BESIDE,), class_id=CLASS)
    assert (visit.used_units, visit.used_minutes, visit.timed_minutes) == ({"G": 1}, 0, 0)
    assert visit.covered is CoverageStatus.COVERED
    assert excluded(visit) == set()


def test_nobody_is_asked_whose_the_minutes_of_a_class_are() -> None:
    _, visit = signed()
    (session,) = visit.sessions
    assert [(one.same_class, one.same_client) for one in session.shared] == [(True, False)]
    assert visit.undecided is None
    assert session.shared_answer is None


def test_the_same_time_with_another_session_still_asks() -> None:
    other = someone_else("15:00", "16:00", name="no place of it")
    _, visit = signed(beside=(BESIDE, other))
    assert visit.used_units == {}
    assert {reason for _, reason in excluded(visit)} == {UncoveredReason.OVERLAPPING_TIME}


def test_another_class_at_the_same_time_is_an_overlap() -> None:
    _, visit = signed(beside=(BESIDE, replace(BESIDE, session_id=named("x"), class_id=named("c2"))))
    assert visit.used_units == {}


def test_one_client_is_no_group() -> None:
    _, visit = signed(beside=())
    assert visit.used_units == {}
    assert excluded(visit) == {(25, UncoveredReason.NO_GROUP), (35, UncoveredReason.NO_GROUP)}


def test_individual_minutes_of_the_day_are_others() -> None:
    stream, _ = signed()
    visit = stream.sign({STRETCHING: 30}, note="alone", starts="17:00")
    assert visit.used_units == {"G": 1, "S": 2}


def test_a_payer_without_a_group_code_pays_nothing_and_it_is_said() -> None:
    _, visit = signed(rules(group_code=""))
    assert {reason for _, reason in excluded(visit)} == {UncoveredReason.NO_SERVICE_CODE}


def test_a_trainers_class_is_the_clients_own_to_pay() -> None:
    _, visit = signed(credential=TRAINER)
    assert visit.used_units == {}
    assert {reason for _, reason in excluded(visit)} == {UncoveredReason.CREDENTIAL_NOT_PAID}


def test_an_untimed_service_wholly_in_shared_time_is_said_to_overlap() -> None:
    """Not that no visit was left: one is."""
    stream = Stream(payer_rules(untimed=frozenset({"S"})))
    stream.authorize()
    other = (someone_else("15:00", "16:00"),)
    visit = stream.sign({STRETCHING: 30}, starts="15:00", elsewhere=other)
    assert excluded(visit) == {(30, UncoveredReason.OVERLAPPING_TIME)}
    assert visit.uncovered_reasons == (UncoveredReason.OVERLAPPING_TIME,)


# --- over HTTP --------------------------------------------------------------------------


@pytest.fixture
def world(db: None) -> World:
    found = World()
    code = ServiceCode.objects.create(code="GRP", description="group", timed=False)
    body = {"in_force_from": "2020-01-01", "group_code": code.code}
    ok(found.billing.patch(f"payers/{found.payer.pk}", body, match=found.payer_revision()))
    return found


def warned(session: dict[str, Any]) -> set[str]:
    return {one["code"] for one in session["warnings"]}


def sign_place(session_id: str, **changes: Any) -> None:
    """Sign a place as booked: its time is that of the class."""
    row = Session.objects.get(pk=session_id)
    note = msgspec.structs.replace(
        note_on(0, {SessionPart.CARDIO: 45}),
        session_id=row.pk,
        practitioner_id=row.practitioner_id,
        started_at=row.starts_at,
        ended_at=row.ends_at,
        local_date=row.local_date,
        **changes,
    )
    sign(row.client_id, note)


def units_of(client_id: UUID) -> Any:
    return Visit.objects.get(client_id=client_id).used_units


@pytest.mark.django_db
def test_a_class_of_two_earns_each_a_unit_once_both_are_signed(world: World) -> None:
    first = world.client_id
    authorize(world)
    second = world.client_id = world.register(world.built.east.pk)
    authorize(world, number="PA-418")
    group = made(world.built)
    places = [placed(world.built, group["id"], one)["session"] for one in (first, second)]
    sign_place(places[0]["id"])
    assert units_of(first) == {}
    sign_place(places[1]["id"])
    assert units_of(second) == {"GRP": 1}
    run_due_jobs()
    assert units_of(first) == {"GRP": 1}


@pytest.mark.django_db
def test_the_payer_is_asked_for_the_group_at_booking(world: World) -> None:
    """Of an authorization for stretching alone an ordinary session is paid in part; a place in a
    class by its own code."""
    authorize(world, units=None, lines=[{"code": "GRP", "units": 5}])
    trainer = practitioner("Trainer", Credential.PERSONAL_TRAINER, world.built.east).pk
    alone = book(world.built, world.client_id, local(2))
    place = placed(world.built, made(world.built)["id"], world.client_id)["session"]
    own = placed(
        world.built,
        made(world.built, local(5), practitioner_id=str(trainer))["id"],
        world.client_id,
    )["session"]
    assert "work_not_paid" in warned(alone)
    assert not {"work_not_paid", "work_partly_paid", "credential_not_paid"} & warned(place)
    assert "credential_not_paid" in warned(own)


def entered_late(world: World, clients: list[UUID], **changes: Any) -> list[dict[str, Any]]:
    """The places of a class of yesterday to which all came."""
    places = [{"client_id": str(one), "attendance": "attended", "answers": WELL} for one in clients]
    sent = class_body(world.built, local(-1), places=places, **changes)
    answer = world.built.api(Role.FRONT_DESK).post("classes", sent, key=key())
    found: list[dict[str, Any]] = ok(answer, 201)["places"]
    return found


@pytest.mark.django_db
def test_a_class_entered_late_is_signed_and_paid_as_any(world: World) -> None:
    first = world.client_id
    authorize(world)
    second = world.client_id = world.register(world.built.east.pk)
    authorize(world, number="PA-418")
    for place in entered_late(world, [first, second]):
        phone = Device(world.built, place["id"])
        phone.save(**whole_note(minutes={"cardio": 45}, not_counted_minutes=0))
        ok(phone.sign(), 201)
    run_due_jobs()
    assert [units_of(one) for one in (first, second)] == [{"GRP": 1}] * 2


@pytest.mark.django_db
def test_a_trainers_class_entered_late_is_the_clients_own_to_pay(world: World) -> None:
    authorize(world)
    trainer = practitioner("Trainer", Credential.PERSONAL_TRAINER, world.built.east).pk
    (place,) = entered_late(world, [world.client_id], practitioner_id=str(trainer))
    row = Session.objects.get(pk=place["id"])
    assert "credential_not_paid" in warned(place)
    sign_place(place["id"], credential=Credential(row.credential))
    assert units_of(world.client_id) == {}

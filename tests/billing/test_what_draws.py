"""A session of which the payer pays nothing draws on no authorization: every count says so."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from types import SimpleNamespace
from typing import Any

import pytest

from billing.authorizations.domain.advisories import AdvisoryFacts, advise_booking
from billing.authorizations.domain.eligibility import NOTHING_KNOWN, PayerFacts
from practice.clock import clock
from practice.core.terms import Credential, Mode, Role
from sessions.booking.domain.commands import Slot
from sessions.calendar.domain.events import SessionBooked
from sessions.calendar.domain.terms import PermissionsSnapshot
from tests.billing.streams import CARDIO, DAY, PT, STRETCHING, TALK, TRAINER, Stream, lines, named
from tests.billing.test_advising import SETTINGS, slot_on, states_of
from tests.billing.world import World
from tests.builders import at, ok
from tests.sessions.booking.http import book
from tests.sessions.people import open_client

DELIVERS = dict.fromkeys((PT, TRAINER), (STRETCHING, CARDIO, TALK))
LATER = DAY + timedelta(days=2)


def booked(stream: Stream, day: date, name: str, credential: Credential) -> None:
    stream.add(
        SessionBooked(
            session_id=named(name),
            **{**slot_on(day), "credential": credential},
            local_date=day,
            planned_mode=Mode.HANDS_ON,
            permissions=PermissionsSnapshot(mode=Mode.HANDS_ON),
        )
    )


def told(stream: Stream, credential: Credential = PT, *, known: bool = True) -> dict[str, str]:
    slot = Slot(**{**slot_on(LATER), "credential": credential})
    asked: Any = SimpleNamespace(session_id=named("new"), slot=slot)
    payer = PayerFacts(stream.payers, DELIVERS) if known else NOTHING_KNOWN
    found = advise_booking(
        asked,
        states_of(stream),
        AdvisoryFacts(SETTINGS, has_payers=True, payer=payer),
        stream.context,
    )
    return {one.code: one.text for one in found}


def test_what_is_not_paid_is_not_warned_of_a_balance_that_it_leaves_alone() -> None:
    """The payer pays no trainer: nothing of the authorization is used, and nothing runs out."""
    stream = Stream()
    stream.authorize(visits=1)
    assert "authorization_running_out" in told(stream)
    assert told(stream, TRAINER) == {}
    assert "authorization_running_out" in told(stream, TRAINER, known=False)


def test_days_booked_with_who_is_not_paid_use_no_visit() -> None:
    stream = Stream()
    stream.authorize(visits=4)
    booked(stream, DAY, "trained", TRAINER)
    assert told(stream) == {}
    booked(stream, DAY + timedelta(days=1), "treated", PT)
    assert "After 2 booked days" in told(stream)["authorization_running_out"]


def test_the_one_that_pays_is_asked_though_another_comes_first() -> None:
    stream = Stream()
    stream.authorize("first", visits=1, practitioner_ids=(named("somebody"),))
    assert told(stream) == {}
    stream.authorize("second", number="A-2", visits=2, coverage_order=2)
    assert "authorization A-2" in told(stream)["authorization_running_out"]


def test_work_of_which_some_is_paid_draws() -> None:
    stream = Stream()
    stream.authorize(visits=1, lines=lines(S=None))
    assert "authorization_running_out" in told(stream)


@pytest.fixture
def world() -> Iterator[World]:
    """On a Monday morning; one token for each, since the clock stands still."""
    with clock.at(at("2026-03-09T07:10:00-04:00")):
        found = World()
        signed_in = {Role.OWNER: found.owner, Role.FRONT_DESK: found.desk}
        found.built.api = signed_in.__getitem__  # type: ignore[method-assign,assignment]
        yield found


@pytest.mark.django_db
def test_the_desk_reads_of_a_session_that_nobody_pays_on_the_sheet_and_at_a_glance(
    world: World,
) -> None:
    """By the judgement that booking warns with: a massage therapist whom the payer does not pay."""
    world.client_id = open_client(world.built)
    massage = str(world.built.practitioners[Credential.MASSAGE_THERAPIST].pk)
    world.authorize(visits=9)
    mine, at_ten = world.client_id, "2026-03-09T10:00:00-04:00"
    unpaid = book(world.built, mine, at_ten, practitioner_id=massage)
    codes = {one["code"] for one in unpaid["warnings"]}
    assert "credential_not_paid" in codes
    assert "authorization_running_out" not in codes
    paid = book(world.built, mine, "2026-03-10T10:00:00-04:00")
    asked = {"facility_id": str(world.built.east.pk)}
    (line,) = ok(world.desk.get("day-sheet", {**asked, "day": "2026-03-09"}))["sessions"]
    assert line["missing"] == ["aut-paid"]
    (line,) = ok(world.desk.get("day-sheet", {**asked, "day": "2026-03-10"}))["sessions"]
    assert (line["id"], line.get("missing", [])) == (paid["id"], [])
    shown = ok(world.desk.get(f"clients/{mine}/at-a-glance"))
    assert shown["authorizations"][0]["days_booked"] == 1
    assert "pays nothing" in shown["missing"]["aut-paid"]

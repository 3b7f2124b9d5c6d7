"""Strength in a note on a side of which a limb may carry no load: told at the save."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest

from practice.clock import clock
from practice.core.events import DatedEvent
from practice.core.reasons import Reason
from practice.core.terms import Side
from sessions.notes.domain.findings import ClosedLimb, loaded_while_closed
from sessions.notes.domain.terms import StrengthWork
from tests.builders import Built, build_practice, ok
from tests.sessions.booking.http import took_place
from tests.sessions.notes.http import Device, whole_note
from tests.sessions.people import healed_mastectomy, open_client, reviewed, tell
from tests.sessions.stretches.stories import reading

SHORT = Reason(code="abduction_short", text="Active abduction 117°; load from 128° on.", source="x")
LEFT_ARM = ClosedLimb(name="left arm", side=Side.LEFT, reasons=(SHORT,))
TRUNK = ClosedLimb(name="trunk", side=None, reasons=(SHORT,))


def told(
    side: Side, load_kg: float | None, *closed: ClosedLimb
) -> list[tuple[str, tuple[Reason, ...]]]:
    work = StrengthWork(
        line_id=UUID(int=7), exercise="row", side=side, sets=2, repetitions=8, load_kg=load_kg
    )
    return [(one.text, one.reasons) for one in loaded_while_closed([work], closed)]


@pytest.mark.parametrize(
    ("side", "load_kg", "asked"),
    [
        (Side.LEFT, 2.5, True),
        (Side.BOTH, 2.5, True),
        (Side.RIGHT, 2.5, False),
        (Side.LEFT, None, True),  # A band: how much is not said.
        (Side.LEFT, 0, False),  # The body alone.
    ],
)
def test_a_loaded_side_with_a_closed_limb_is_asked_about(
    side: Side, load_kg: float | None, asked: bool
) -> None:
    assert bool(told(side, load_kg, LEFT_ARM)) is asked


def test_the_trunk_has_no_side_and_a_reason_is_given_once() -> None:
    ((text, reasons),) = told(Side.RIGHT, 1, TRUNK)
    assert (text.partition(":")[0], reasons) == ("No load today on", (SHORT,))
    ((text, reasons),) = told(Side.LEFT, 1, LEFT_ARM, TRUNK)
    assert ("left arm, trunk" in text, reasons) == (True, (SHORT,))


def strength(side: str) -> dict[str, Any]:
    return {
        "line_id": "6a0a3c52-9c53-4cf4-8a1b-0f3a5d7f7a01",
        "exercise": "row with a band",
        "side": side,
        "sets": 2,
        "repetitions": 10,
        "load_kg": 2.5,
    }


@pytest.mark.django_db
def test_a_save_tells_it_by_the_criteria_of_the_opening_and_it_may_be_signed() -> None:
    built: Built = build_practice()
    client_id = open_client(built)
    ago = clock.now() - timedelta(days=20)
    operated = reviewed(operations=(healed_mastectomy(26, Side.LEFT),))
    tell(built, client_id, DatedEvent(operated, ago))
    session = took_place(built, client_id)
    phone = Device(built, session["id"])
    sent = reading(117, session_id=session["id"])
    ok(phone.api.post(f"clients/{client_id}/range-of-motion", sent), 201)
    found = phone.save(**whole_note(), strength=[strength("left")])["findings"]
    (asked,) = [one for one in found if one["code"] == "load_closed"]
    assert asked["field"] == f"strength.{strength('left')['line_id']}"
    assert "left arm" in asked["text"]
    assert "abduction_short" in {one["code"] for one in asked["reasons"]}
    ok(phone.sign(), 201)

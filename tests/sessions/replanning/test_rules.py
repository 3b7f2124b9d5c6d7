"""What a session that narrowed may be again (pure): never more than it was planned as at first."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast
from uuid import UUID

import msgspec
import pytest

from clients.permissions.domain.results import HandsOnExtent
from practice.core.reasons import Reason, Rejected
from practice.core.terms import Mode, Region, Side
from sessions.booking.domain.attendance import flag_if_narrowed
from sessions.calendar.domain.events import SessionFlagged
from sessions.calendar.domain.session_state import SessionFlag, SessionState, SessionStatus
from sessions.calendar.domain.terms import PermissionsSnapshot
from sessions.replanning.domain.replanning import (
    ReplanResult,
    check_may_be_replanned,
    flag_left,
    planned_anew,
    reasons_left,
)
from sessions.replanning.services import _check_as_read
from tests.clients.permissions import given as g
from tests.sessions.calendar.test_narrowing import ARMS, RIGHT_ARM_CLOSED, session, snapshot

OPEN, RIGHT_CLOSED = snapshot(g.OPEN.client, ARMS), snapshot(RIGHT_ARM_CLOSED, ARMS)
LEFT_ARM_CLOSED = msgspec.structs.replace(
    g.OPEN.client,
    consent=msgspec.structs.replace(
        g.CONSENT,
        sites=tuple(
            g.site(region, side)
            for region in Region
            for side in (Side.LEFT, Side.RIGHT)
            if (region, side) not in {(Region.ARM, Side.LEFT), (Region.SHOULDER, Side.LEFT)}
        ),
    ),
)
LEFT_CLOSED = snapshot(LEFT_ARM_CLOSED, ARMS)
WHY = Reason(code="consent.sites", text="Not there.", source="consent")


def narrowed(planned_mode: Mode = Mode.HANDS_ON) -> SessionState:
    """Planned all by hand, then the right arm closed."""
    planned = session(OPEN, planned_mode=planned_mode)
    (flag,) = flag_if_narrowed(planned, RIGHT_CLOSED, "consent.recorded")
    return session(OPEN, flag, planned_mode=planned_mode)


def test_what_is_open_again_is_as_it_was_planned() -> None:
    anew = planned_anew(narrowed(), OPEN)
    assert (anew.result, anew.first, anew.left) == (ReplanResult.AS_PLANNED, Mode.HANDS_ON, None)


def test_what_is_closed_still_stays() -> None:
    anew = planned_anew(narrowed(), RIGHT_CLOSED)
    assert (anew.result, anew.wider) == (ReplanResult.STAYS, False)
    assert anew.left is not None
    assert (anew.left.mode, anew.left.extent) == (Mode.HANDS_ON, HandsOnExtent.PART)


def test_what_was_planned_narrower_stays_so() -> None:
    planned = session(RIGHT_CLOSED)
    flag = flagged_for_all(planned)
    anew = planned_anew(replace(planned, flag=flag), OPEN)
    assert (anew.result, anew.left) == (ReplanResult.AS_PLANNED, None)
    part = planned_anew(replace(planned, flag=flag), RIGHT_CLOSED)
    assert part.left is None, "the right arm was closed when it was planned: nothing is missing"


def test_what_was_never_planned_by_hand_makes_no_session_wider() -> None:
    planned = session(RIGHT_CLOSED)
    (flag,) = flag_if_narrowed(planned, LEFT_CLOSED, "consent.recorded")
    anew = planned_anew(session(RIGHT_CLOSED, flag), LEFT_CLOSED)
    assert anew.result is ReplanResult.STAYS, "the right arm, open now, was closed when planned"


def flagged_for_all(planned: SessionState) -> SessionFlag:
    """Nothing at all may be done any more."""
    closed = snapshot(g.OPEN.client.__class__(), ARMS)
    (flag,) = flag_if_narrowed(planned, closed, "consent.withdrawn")
    return SessionFlag(flag.now, flag.reasons, flag.cause, flag.extent, flag.narrowed)


def test_part_that_stays_says_why() -> None:
    planned = session(OPEN)
    stands = replace(planned, flag=flagged_for_all(planned))
    anew = planned_anew(stands, RIGHT_CLOSED)
    assert anew.result is ReplanResult.WIDER
    assert {one.code for one in reasons_left(anew, RIGHT_CLOSED)} == {"consent.region"}


def test_what_is_left_keeps_the_cause_that_it_had() -> None:
    planned = session(OPEN)
    stands = replace(planned, flag=flagged_for_all(planned))
    (flag,) = flag_left(stands, planned_anew(stands, RIGHT_CLOSED), RIGHT_CLOSED)
    flag = cast("SessionFlagged", flag)
    assert (flag.cause, flag.was, flag.now) == ("consent.withdrawn", Mode.HANDS_ON, Mode.HANDS_ON)
    assert flag.extent is HandsOnExtent.PART
    assert {side for group in flag.narrowed for some in group.of for side in some.sides} == {
        Side.RIGHT
    }
    assert flag_left(stands, planned_anew(stands, OPEN), OPEN) == []


@pytest.mark.parametrize(
    ("now", "result"),
    [
        (Mode.HANDS_ON, ReplanResult.AS_PLANNED),
        (Mode.SELF_DIRECTED, ReplanResult.WIDER),
        (Mode.NOT_TODAY, ReplanResult.STAYS),
    ],
)
def test_without_verdicts_by_stretch_the_widest_decides(now: Mode, result: ReplanResult) -> None:
    stands = replace(
        session(PermissionsSnapshot(mode=Mode.HANDS_ON)),
        flag=SessionFlag(Mode.NOT_TODAY, (WHY,), "settings"),
    )
    assert planned_anew(stands, PermissionsSnapshot(mode=now)).result is result


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({}, None),
        ({"status": SessionStatus.ARRIVED}, "not_narrowed"),
        ({"status": SessionStatus.CANCELLED}, "not_narrowed"),
        ({"flag": None}, "not_narrowed"),
        ({"day_flag": SessionFlag(Mode.NOT_TODAY, (WHY,), "arrived")}, "answers_of_the_day"),
        (
            {"flag": None, "day_flag": SessionFlag(Mode.NOT_TODAY, (WHY,), "arrived")},
            "answers_of_the_day",
        ),
    ],
)
def test_what_is_not_booked_and_narrowed_is_not_planned_anew(
    changes: dict[str, Any], code: str | None
) -> None:
    asked = replace(narrowed(), **changes)
    if code is None:
        check_may_be_replanned(asked)
        return
    with pytest.raises(Rejected) as refusal:
        check_may_be_replanned(asked)
    assert refusal.value.code == code


@pytest.mark.parametrize("moved", ["practitioner_id", "room_id"])
def test_a_session_that_was_moved_at_this_moment_waits(moved: str) -> None:
    stands = narrowed()
    row: Any = SimpleNamespace(practitioner_id=stands.practitioner_id, room_id=stands.room_id)
    _check_as_read(stands, row)
    setattr(row, moved, UUID(int=9))
    with pytest.raises(Rejected) as refusal:
        _check_as_read(stands, row)
    assert refusal.value.code == "session_changed"

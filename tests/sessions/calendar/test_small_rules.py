"""Arrival, words and history of the calendar: what stays, what is said, until when it waits."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID

import msgspec
import pytest

from clients.health.domain.terms import Limb, RedFlag
from clients.permissions.domain.results import HandsOnExtent
from practice.core.terms import Credential, Mode, Side
from practice.work.projection_runner import MemoryRows
from sessions.assessment.domain.assessment import arrival_input
from sessions.assessment.domain.standing_signs import StandingSigns
from sessions.calendar.domain.event_texts import cancelled, flagged
from sessions.calendar.domain.events import (
    ArrivalWordsReviewed,
    CancelledBy,
    SessionCancelled,
    SessionFlagged,
)
from sessions.calendar.domain.projections import SESSION_ROWS
from sessions.calendar.domain.signs import SaidWords
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.domain.terms import NewSwelling, SubmittedArrivalAnswers
from sessions.plan.selectors import _concerns
from tests.dsl import STREAM, given, recorded
from tests.sessions.booking.examples import AHEAD, SESSION, arrived, booked

SAID = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
REVIEWED = SAID + timedelta(hours=3)
SECOND = timedelta(seconds=1)
LEFT_ARM = NewSwelling(limb=Limb.ARM, side=Side.LEFT)
RIGHT_ARM = NewSwelling(limb=Limb.ARM, side=Side.RIGHT)


@pytest.mark.parametrize(
    ("at", "waits"),
    [
        (SAID - SECOND, False),
        (SAID, True),
        (REVIEWED - SECOND, True),
        (REVIEWED, False),
        (None, False),
    ],
)
def test_words_wait_from_their_saying_until_they_are_reviewed(
    at: datetime | None, *, waits: bool
) -> None:
    words = SaidWords("a pull in the arm", SAID, date(2026, 3, 2), reviewed_at=REVIEWED)
    assert words.waits(at) is waits


def test_a_sign_found_in_words_keeps_the_limbs_that_were_said_to_be_swollen() -> None:
    came = msgspec.structs.replace(arrived(), answers=SubmittedArrivalAnswers(swelling=(LEFT_ARM,)))
    looked = ArrivalWordsReviewed(
        session_id=SESSION,
        words=(),
        practitioner_id=UUID(int=1),
        credential=Credential.PHYSICAL_THERAPIST,
        found="It is the arm.",
        red_flags=(RedFlag.NEW_SWELLING,),
    )
    after = given(CALENDAR, booked(), came, looked).state.session(SESSION)
    assert after.signs[-1].swelling == (LEFT_ARM,)
    unsaid = given(CALENDAR, booked(), looked).state.session(SESSION)
    assert [(one.flag, one.swelling) for one in unsaid.signs] == [(RedFlag.NEW_SWELLING, ())]


@pytest.mark.parametrize(
    ("said", "standing", "known"),
    [
        (None, (), None),
        ((), (), []),
        (None, (RIGHT_ARM,), [Side.RIGHT]),
        ((), (RIGHT_ARM,), [Side.RIGHT]),
        ((LEFT_ARM,), (RIGHT_ARM,), [Side.LEFT, Side.RIGHT]),
    ],
)
def test_swelling_that_nobody_asked_of_is_not_known_and_what_stands_counts_all_the_same(
    said: Any, standing: Any, known: list[Side] | None
) -> None:
    signs = StandingSigns(swelling=standing)
    found = arrival_input(SubmittedArrivalAnswers(swelling=said), signs)
    assert found is not None
    limbs = None if found.swelling is None else [one.side for one in found.swelling]
    assert limbs == known


def test_who_arrived_once_arrived_then_whatever_is_answered_later() -> None:
    rows = MemoryRows(STREAM)
    first, second = AHEAD, AHEAD + timedelta(minutes=20)
    SESSION_ROWS.apply(rows, recorded(booked(), 1, AHEAD - timedelta(days=1)))
    for version, at in ((2, first), (3, second)):
        SESSION_ROWS.apply(rows, recorded(arrived(), version, at))
        assert rows.rows[SESSION]["arrived_at"] == first


@pytest.mark.parametrize(("minutes", "hours"), [(0, 0), (59, 0), (60, 1), (119, 1), (120, 2)])
def test_notice_is_told_in_whole_hours(minutes: int, hours: int) -> None:
    event = SessionCancelled(
        session_id=SESSION, by=CancelledBy.CLIENT, reason="ill", notice_minutes=minutes
    )
    assert f"a session {hours} hours ahead" in cancelled(event, recorded(event))


@pytest.mark.parametrize(
    ("now", "text"),
    [
        (Mode.HANDS_ON, "A session narrowed: part hands-on is left."),
        (
            Mode.SELF_DIRECTED,
            "A session narrowed from hands-on to self-directed: part hands-on.",
        ),
    ],
)
def test_a_narrowing_is_told_with_its_modes_only_where_those_changed(now: Mode, text: str) -> None:
    event = SessionFlagged(
        session_id=SESSION,
        was=Mode.HANDS_ON,
        now=now,
        reasons=(),
        cause="order.filed",
        extent=HandsOnExtent.PART,
    )
    assert flagged(event, recorded(event)) == text


@pytest.mark.parametrize(
    ("permission", "wanted", "concerns"),
    [
        (Side.LEFT, Side.LEFT, True),
        (Side.LEFT, Side.RIGHT, False),
        (Side.RIGHT, Side.LEFT, False),
        (Side.BOTH, Side.LEFT, True),
        (Side.RIGHT, Side.BOTH, True),
        (Side.BOTH, Side.BOTH, True),
    ],
)
def test_a_plan_takes_the_permission_of_the_side_it_is_for(
    permission: Side, wanted: Side, *, concerns: bool
) -> None:
    assert _concerns(permission, wanted) is concerns

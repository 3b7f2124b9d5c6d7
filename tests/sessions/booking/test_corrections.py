"""A slip of the desk is set right by an event with its reason (ruling 50)."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

import pytest

from clients.health.domain.terms import RedFlag
from practice.core.reasons import Reason
from practice.core.terms import Mode
from sessions.booking.domain.commands import ConflictWith
from sessions.booking.domain.corrections import (
    CorrectionFacts,
    CorrectSession,
    EnterSessionInError,
    decide_correct,
    decide_enter_in_error,
)
from sessions.calendar.domain.events import (
    SessionArrived,
    SessionCancelled,
    SessionCompleted,
    SessionEnteredInError,
    SessionFlagged,
    SessionMarkedNoShow,
    SessionOpened,
    SessionStatusCorrected,
    SessionStopped,
)
from sessions.calendar.domain.session_state import Cancellation, SessionStatus
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.domain.terms import (
    CancelledBy,
    CorrectedStatus,
    HandsOnToday,
    SubmittedArrivalAnswers,
)
from tests.dsl import PRACTITIONER, given
from tests.sessions.booking.examples import (
    AHEAD,
    HANDS_ON,
    SESSION,
    arrived,
    booked,
    conflict,
    evaluated,
)

WHY = "Ticked on the wrong row."
NO_SHOW = SessionMarkedNoShow(session_id=SESSION, reason="no word")
OFF = SessionCancelled(
    session_id=SESSION, by=CancelledBy.PRACTICE, reason="Ill.", notice_minutes=90
)
FACTS = CorrectionFacts(permissions=HANDS_ON)


def correct(
    status: CorrectedStatus = CorrectedStatus.BOOKED, facts: CorrectionFacts = FACTS, **more: Any
) -> Any:
    command = CorrectSession(session_id=SESSION, status=status, **{"reason": WHY, **more})
    return lambda s, c: decide_correct(s, command, facts, c)


def in_error(facts: CorrectionFacts = FACTS, reason: str = WHY) -> Any:
    command = EnterSessionInError(session_id=SESSION, reason=reason)
    return lambda s, c: decide_enter_in_error(s, command, facts, c)


def back(was: str) -> SessionStatusCorrected:
    return SessionStatusCorrected(
        session_id=SESSION,
        was=was,
        now=CorrectedStatus.BOOKED,
        reason=WHY,
        permissions=HANDS_ON,
    )


@pytest.mark.parametrize(
    ("slip", "was"), [(arrived(), "arrived"), (NO_SHOW, "no_show"), (OFF, "cancelled")]
)
def test_arrived_no_show_and_cancelled_are_taken_back(slip: Any, was: str) -> None:
    given(CALENDAR, booked(), slip).when(correct(), now=AHEAD).then(back(was))
    session = given(CALENDAR, booked(), slip, back(was)).state.session(SESSION)
    assert session == given(CALENDAR, booked()).state.session(SESSION)


def test_what_is_booked_has_nothing_to_set_right_and_a_reason_is_needed() -> None:
    given(CALENDAR, booked()).when(correct()).rejected("nothing_to_correct", 409)
    given(CALENDAR, booked(), NO_SHOW).when(correct(reason=" ")).rejected("invalid", 400)
    wrong = correct(CorrectedStatus.NO_SHOW)
    given(CALENDAR, booked(), NO_SHOW).when(wrong, now=AHEAD).rejected("nothing_to_correct", 409)


def test_a_time_that_was_taken_since_is_refused_with_the_clash() -> None:
    facts = CorrectionFacts(permissions=HANDS_ON, conflicts=conflict(ConflictWith.ROOM))
    refusal = given(CALENDAR, booked(), OFF).when(correct(facts=facts)).rejected("time_taken", 409)
    assert refusal.extra["taken"] == ["room"]
    late = given(CALENDAR, booked(late_entry=True), NO_SHOW)
    late.when(correct(facts=facts), now=AHEAD + timedelta(hours=1)).then(back("no_show"))


@pytest.mark.parametrize(("minutes", "flags"), [(59, True), (60, False)])
def test_what_closed_in_the_meantime_flags_a_session_that_stands_again(
    minutes: int, flags: bool
) -> None:
    closed = Reason(code="consent.none", text="Withdrawn.", source="consent")
    facts = CorrectionFacts(permissions=evaluated(Mode.SELF_DIRECTED, closed))
    scenario = given(CALENDAR, booked(), OFF)
    scenario.when(correct(facts=facts), now=AHEAD + timedelta(minutes=minutes))
    kinds = (SessionStatusCorrected, SessionFlagged) if flags else (SessionStatusCorrected,)
    scenario.then_kinds(*kinds)


def test_a_signed_note_is_not_undone_by_the_desk() -> None:
    signed = SessionCompleted(session_id=SESSION, note_id=UUID(int=9))
    given(CALENDAR, booked(), arrived(), signed).when(correct()).rejected("note_signed", 409)


@pytest.mark.parametrize("may_evaluate", [True, False])
@pytest.mark.parametrize(
    "said", [{"red_flags": (RedFlag.FEVER,)}, {"words": "cannot feel my legs"}]
)
def test_a_red_flag_or_words_are_taken_back_by_whoever_may_evaluate(
    said: dict[str, Any], may_evaluate: bool
) -> None:
    came = SessionArrived(
        session_id=SESSION,
        answers=SubmittedArrivalAnswers(hands_on_today=HandsOnToday.YES),
        permissions=HANDS_ON,
        **said,
    )
    facts = CorrectionFacts(permissions=HANDS_ON, may_evaluate=may_evaluate)
    for decide in (correct(facts=facts), in_error(facts)):
        scenario = given(CALENDAR, booked(), came).when(decide, now=AHEAD)
        if may_evaluate:
            assert scenario.events
        else:
            scenario.rejected("red_flag_stands", 409)


def test_a_stopped_session_is_not_taken_back_but_may_be_entered_in_error() -> None:
    day = (booked(), arrived(), SessionStopped(session_id=SESSION, minute=5))
    given(CALENDAR, *day).when(correct()).rejected("session_stopped", 409)
    given(CALENDAR, *day).when(in_error()).then_kinds(SessionEnteredInError)


def cancelled_instead(**more: Any) -> Any:
    values = {"by": CancelledBy.CLIENT, "cause": "Has a cold.", **more}
    return correct(CorrectedStatus.CANCELLED, **values)


@pytest.mark.parametrize(
    ("told_at", "notice"), [(None, 90), (AHEAD - timedelta(hours=3), 180), (AHEAD, 0)]
)
def test_the_cause_of_a_cancellation_is_corrected_and_its_notice_stays_or_counts_anew(
    told_at: datetime | None, notice: int
) -> None:
    scenario = given(CALENDAR, booked(), OFF)
    scenario.when(cancelled_instead(told_at=told_at), now=AHEAD + timedelta(hours=9))
    (event,) = scenario.events
    state = given(CALENDAR, booked(), OFF, event).state.session(SESSION)
    assert state.cancellation == Cancellation(CancelledBy.CLIENT, "Has a cold.", notice)
    assert state.status is SessionStatus.CANCELLED


def test_a_no_show_that_had_called_off_becomes_a_cancellation_with_its_notice() -> None:
    now, told_at = AHEAD + timedelta(hours=2), AHEAD - timedelta(minutes=30)
    scenario = given(CALENDAR, booked(), NO_SHOW).when(cancelled_instead(told_at=told_at), now=now)
    (event,) = scenario.events
    assert (event.was, event.notice_minutes) == ("no_show", 30)


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"told_at": None}, "told_at"),
        ({"told_at": AHEAD + timedelta(hours=3)}, "told_at"),
        ({"told_at": AHEAD + timedelta(hours=1)}, "told_at"),
        ({"by": None}, "by"),
        ({"cause": " "}, "cause"),
        ({"status": CorrectedStatus.BOOKED}, "by"),
    ],
)
def test_the_parts_of_a_cancellation_fit_or_are_refused(more: dict[str, Any], field: str) -> None:
    values = {"by": CancelledBy.CLIENT, "cause": "Cold.", "told_at": AHEAD, **more}
    decide = correct(values.pop("status", CorrectedStatus.CANCELLED), **values)
    scenario = given(CALENDAR, booked(), NO_SHOW).when(decide, now=AHEAD + timedelta(hours=2))
    assert field in scenario.rejected("invalid", 400).fields


@pytest.mark.parametrize(("minutes", "taken"), [(-1, False), (0, True)])
def test_a_cancellation_becomes_a_no_show_once_the_session_has_started(
    minutes: int, taken: bool
) -> None:
    scenario = given(CALENDAR, booked(), OFF)
    scenario.when(correct(CorrectedStatus.NO_SHOW), now=AHEAD + timedelta(minutes=minutes))
    if taken:
        scenario.then_kinds(SessionStatusCorrected)
    else:
        scenario.rejected("too_early", 409)


def test_a_session_entered_in_error_is_out_once_and_nothing_of_its_day_stays() -> None:
    opened = SessionOpened(
        session_id=SESSION, practitioner_id=PRACTITIONER.id, permissions=HANDS_ON
    )
    entered = SessionEnteredInError(session_id=SESSION, was="arrived", reason=WHY)
    given(CALENDAR, booked(), arrived(), opened).when(in_error()).then(entered)
    scenario = given(CALENDAR, booked(), arrived(), opened, entered)
    state = scenario.state.session(SESSION)
    assert (state.status, state.answers, state.opened_at) == (
        SessionStatus.ENTERED_IN_ERROR,
        None,
        None,
    )
    scenario.when(in_error()).rejected("nothing_to_correct", 409)
    given(CALENDAR, booked()).when(in_error(reason="")).rejected("invalid", 400)


def test_what_was_said_on_the_wrong_row_stands_against_nobody() -> None:
    came = SessionArrived(
        session_id=SESSION,
        answers=SubmittedArrivalAnswers(),
        red_flags=(RedFlag.FEVER,),
        words="dizzy",
        permissions=HANDS_ON,
    )
    session = given(CALENDAR, booked(), came, back("arrived")).state.session(SESSION)
    assert (session.signs, session.words) == ((), ())

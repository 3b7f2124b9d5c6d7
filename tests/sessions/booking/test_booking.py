"""What may be booked, moved and called off."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from practice.core.reasons import Reason
from practice.core.terms import Credential, Mode
from sessions.booking.domain.commands import (
    Attendance,
    BookSession,
    CancelSession,
    ConflictWith,
    EnterLateSession,
    MoveSession,
    PreferenceFinding,
)
from sessions.booking.domain.decisions import (
    decide_book,
    decide_book_late,
    decide_cancel,
    decide_move,
    late_cancellation_warnings,
)
from sessions.calendar.domain.events import (
    SessionArrived,
    SessionBooked,
    SessionCancelled,
    SessionFlagged,
    SessionMarkedNoShow,
    SessionMoved,
)
from sessions.calendar.domain.session_state import SessionStatus
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.domain.terms import CancelledBy, SessionPurpose
from tests.dsl import NOW, given
from tests.sessions.booking.examples import (
    AHEAD,
    OTHER,
    SESSION,
    SETTINGS,
    arrived,
    booked,
    conflict,
    evaluated,
    facts,
    slot,
)

CONSENT = Reason(code="consent_withdrawn", text="Withdrawn.", source="practice policy")
PREFERENCE = Reason(code="prefers_women", text="The client prefers women.", source="the client")
FLAGGED = SessionFlagged(
    session_id=SESSION,
    was=Mode.HANDS_ON,
    now=Mode.SELF_DIRECTED,
    reasons=(CONSENT,),
    cause="consent.withdrawn",
)


def test_a_free_time_is_booked_hands_on_with_the_judgement_it_rests_on() -> None:
    given(CALENDAR).when(lambda s, c: decide_book(s, BookSession(), facts(), c)).then(booked())


def test_without_a_stated_mode_it_is_planned_as_permitted_with_the_reason() -> None:
    # ruling 45
    narrow = evaluated(Mode.SELF_DIRECTED, CONSENT)
    scenario = given(CALENDAR).when(
        lambda s, c: decide_book(s, BookSession(), facts(permissions=narrow), c)
    )
    (event,) = scenario.then_kinds(SessionBooked)
    assert isinstance(event, SessionBooked)
    assert event.planned_mode is Mode.SELF_DIRECTED
    assert event.requested_mode is None
    assert event.permissions.reasons == (CONSENT,)


@pytest.mark.parametrize(
    ("permitted", "bookable_as"),
    [(Mode.SELF_DIRECTED, ["self_directed"]), (Mode.NOT_TODAY, [])],
)
def test_hands_on_that_is_asked_for_and_cannot_be_is_refused_with_what_can(
    permitted: Mode, bookable_as: list[str]
) -> None:
    # ruling 45: in a booking and in a move alike
    narrow = facts(permissions=evaluated(permitted, CONSENT))
    booking = given(CALENDAR).when(
        lambda s, c: decide_book(s, BookSession(requested_mode=Mode.HANDS_ON), narrow, c)
    )
    move = MoveSession(session_id=SESSION, reason="Anew", requested_mode=Mode.HANDS_ON)
    moving = given(CALENDAR, booked()).when(lambda s, c: decide_move(s, move, narrow, c))
    for scenario in (booking, moving):
        refusal = scenario.rejected("not_hands_on", 409)
        assert refusal.reasons == (CONSENT,)
        assert refusal.extra == {"bookable_as": bookable_as}


def test_hands_on_that_is_asked_for_and_may_be_is_booked() -> None:
    scenario = given(CALENDAR).when(
        lambda s, c: decide_book(s, BookSession(requested_mode=Mode.HANDS_ON), facts(), c)
    )
    scenario.then(booked(requested_mode=Mode.HANDS_ON))


def test_what_took_place_hands_on_is_entered_late_though_it_might_not_have_been() -> None:
    narrow = facts(slot(NOW - timedelta(days=1)), permissions=evaluated(Mode.SELF_DIRECTED))
    late = EnterLateSession(attendance=Attendance.ATTENDED, requested_mode=Mode.HANDS_ON)
    scenario = given(CALENDAR).when(lambda s, c: decide_book_late(s, late, narrow, c))
    event = scenario.events[0]
    assert isinstance(event, SessionBooked)
    assert event.planned_mode is Mode.SELF_DIRECTED


@pytest.mark.parametrize(
    ("credential", "purpose", "refused"),
    [
        (Credential.PHYSICAL_THERAPIST, SessionPurpose.EVALUATION, False),
        (Credential.PHYSICAL_THERAPIST_ASSISTANT, SessionPurpose.EVALUATION, True),
        (Credential.OCCUPATIONAL_THERAPY_ASSISTANT, SessionPurpose.EVALUATION, True),
        (Credential.PHYSICAL_THERAPIST_ASSISTANT, SessionPurpose.TREATMENT, False),
    ],
)
def test_an_assistant_does_not_evaluate(
    credential: Credential, purpose: SessionPurpose, refused: bool
) -> None:
    # ruling 24
    by = replace(
        facts(slot(credential=credential)), evaluating_credentials=(Credential.PHYSICAL_THERAPIST,)
    )
    scenario = given(CALENDAR).when(
        lambda s, c: decide_book(s, BookSession(purpose=purpose), by, c)
    )
    if refused:
        scenario.rejected("credential_does_not_evaluate", 409)
    else:
        scenario.then_kinds(SessionBooked)


def test_a_self_directed_wish_stays_self_directed_though_more_is_permitted() -> None:
    scenario = given(CALENDAR).when(
        lambda s, c: decide_book(s, BookSession(requested_mode=Mode.SELF_DIRECTED), facts(), c)
    )
    scenario.then(booked(planned_mode=Mode.SELF_DIRECTED, requested_mode=Mode.SELF_DIRECTED))


@pytest.mark.parametrize(
    ("kinds", "words"),
    [
        ((ConflictWith.PRACTITIONER,), "the practitioner is in another session"),
        ((ConflictWith.ROOM,), "the room is in another session"),
        ((ConflictWith.CLIENT,), "the client is in another session"),
        (
            (ConflictWith.ROOM, ConflictWith.PRACTITIONER),
            "the practitioner and the room are in another session",
        ),
    ],
)
def test_a_taken_time_is_refused_naming_who_or_what_is_taken(
    kinds: tuple[ConflictWith, ...], words: str
) -> None:
    scenario = given(CALENDAR).when(
        lambda s, c: decide_book(s, BookSession(), facts(conflicts=conflict(*kinds)), c)
    )
    refusal = scenario.rejected("time_taken", 409)
    assert words in refusal.detail
    assert refusal.extra["taken"] == sorted(kind.value for kind in kinds)
    assert str(OTHER) not in str(refusal.extra), "whose session it is stays untold"


def test_a_practitioner_against_the_preference_is_refused_with_the_reason() -> None:
    against = PreferenceFinding(against=(PREFERENCE,))
    scenario = given(CALENDAR).when(
        lambda s, c: decide_book(s, BookSession(), facts(preference=against), c)
    )
    assert scenario.rejected("against_preference", 409).reasons == (PREFERENCE,)


@pytest.mark.parametrize(
    ("starts_in", "minutes", "field"),
    [
        (timedelta(days=1), 0, "ends_at"),
        (timedelta(days=1), -30, "ends_at"),
        (timedelta(days=1), 14, "ends_at"),
        (timedelta(days=1), 181, "ends_at"),
        (timedelta(days=1), 60.5, "ends_at"),
        (timedelta(minutes=-16), 60, "starts_at"),
        (timedelta(days=-1), 60, "starts_at"),
    ],
)
def test_times_that_cannot_be_are_refused_with_the_field(
    starts_in: timedelta, minutes: float, field: str
) -> None:
    impossible = facts(slot(NOW + starts_in, minutes))
    scenario = given(CALENDAR).when(lambda s, c: decide_book(s, BookSession(), impossible, c))
    assert field in scenario.rejected("invalid", 400).fields


@pytest.mark.parametrize(
    ("starts_in", "minutes"),
    [(timedelta(minutes=-15), 60), (timedelta(days=1), 15), (timedelta(days=1), 180)],
)
def test_times_on_the_edge_of_the_limits_are_booked(starts_in: timedelta, minutes: float) -> None:
    edge = facts(slot(NOW + starts_in, minutes))
    given(CALENDAR).when(lambda s, c: decide_book(s, BookSession(), edge, c)).then_kinds(
        SessionBooked
    )


def test_a_session_over_midnight_belongs_to_the_local_day_it_starts_on() -> None:
    # 23:30 in New York on 4 March 2026 is 04:30 UTC on the 5th.
    late_evening = NOW.replace(day=5, hour=4, minute=30)
    scenario = given(CALENDAR).when(
        lambda s, c: decide_book(s, BookSession(), facts(slot(late_evening)), c)
    )
    (event,) = scenario.then_kinds(SessionBooked)
    assert isinstance(event, SessionBooked)
    assert event.local_date.isoformat() == "2026-03-04"


def test_a_late_entry_is_dated_when_it_took_place_and_keeps_its_overlap() -> None:
    yesterday = facts(slot(NOW - timedelta(days=1)), conflicts=conflict(ConflictWith.PRACTITIONER))
    scenario = given(CALENDAR).when(
        lambda s, c: decide_book_late(
            s, EnterLateSession(attendance=Attendance.ATTENDED), yesterday, c
        )
    )
    event, attended = scenario.then_kinds(SessionBooked, SessionArrived)
    assert isinstance(event, SessionBooked)
    assert isinstance(attended, SessionArrived)
    assert event.late_entry
    assert event.overlaps == (OTHER,)
    assert scenario.decided is not None
    assert {getattr(one, "occurred_at", None) for one in scenario.decided} == {
        NOW - timedelta(days=1)
    }


def test_a_late_entry_may_say_that_the_client_did_not_come() -> None:
    yesterday = facts(slot(NOW - timedelta(days=1)))
    given(CALENDAR).when(
        lambda s, c: decide_book_late(
            s, EnterLateSession(attendance=Attendance.NO_SHOW), yesterday, c
        )
    ).then_kinds(SessionBooked, SessionMarkedNoShow)


@pytest.mark.parametrize("ago", [timedelta(hours=-1), timedelta(days=367)])
def test_a_late_entry_lies_behind_but_not_too_far(ago: timedelta) -> None:
    scenario = given(CALENDAR).when(
        lambda s, c: decide_book_late(
            s, EnterLateSession(attendance=Attendance.ATTENDED), facts(slot(NOW - ago)), c
        )
    )
    assert "starts_at" in scenario.rejected("invalid", 400).fields


def test_a_move_keeps_the_identity_of_the_session() -> None:
    later = slot(AHEAD + timedelta(hours=2))
    scenario = given(CALENDAR, booked()).when(
        lambda s, c: decide_move(
            s, MoveSession(session_id=SESSION, reason="Client asked"), facts(later), c
        )
    )
    (event,) = scenario.then_kinds(SessionMoved)
    assert isinstance(event, SessionMoved)
    assert (event.session_id, event.starts_at) == (SESSION, later.starts_at)


def test_a_move_to_where_it_is_is_refused_and_says_what_to_send() -> None:
    scenario = given(CALENDAR, booked()).when(
        lambda s, c: decide_move(s, MoveSession(session_id=SESSION, reason="again"), facts(), c)
    )
    assert "starts_at" in scenario.rejected("nothing_to_move", 409).detail


def test_a_move_never_turns_a_session_hands_on_by_itself() -> None:
    later = slot(AHEAD + timedelta(hours=2))
    scenario = given(CALENDAR, booked(), FLAGGED).when(
        lambda s, c: decide_move(
            s, MoveSession(session_id=SESSION, reason="Client asked"), facts(later), c
        )
    )
    (event,) = scenario.then_kinds(SessionMoved)
    assert isinstance(event, SessionMoved)
    assert event.planned_mode is Mode.SELF_DIRECTED


def test_a_person_may_plan_a_flagged_session_hands_on_anew() -> None:
    command = MoveSession(session_id=SESSION, reason="New consent", requested_mode=Mode.HANDS_ON)
    scenario = given(CALENDAR, booked(), FLAGGED).when(
        lambda s, c: decide_move(s, command, facts(), c)
    )
    (event,) = scenario.then_kinds(SessionMoved)
    assert isinstance(event, SessionMoved)
    assert event.planned_mode is Mode.HANDS_ON
    after = given(CALENDAR, booked(), FLAGGED, event).state.session(SESSION)
    assert after.flag is None


def test_a_move_into_a_taken_time_or_without_a_reason_is_refused() -> None:
    later = facts(slot(AHEAD + timedelta(hours=2)), conflicts=conflict(ConflictWith.ROOM))
    scenario = given(CALENDAR, booked()).when(
        lambda s, c: decide_move(s, MoveSession(session_id=SESSION, reason="x"), later, c)
    )
    scenario.rejected("time_taken", 409)
    silent = given(CALENDAR, booked()).when(
        lambda s, c: decide_move(s, MoveSession(session_id=SESSION, reason=" "), facts(), c)
    )
    assert "reason" in silent.rejected("invalid", 400).fields


@pytest.mark.parametrize("notice", [timedelta(days=2), timedelta(minutes=30), timedelta(0)])
def test_a_cancellation_says_who_why_and_how_late(notice: timedelta) -> None:
    command = CancelSession(session_id=SESSION, by=CancelledBy.CLIENT, reason="ill")
    given(CALENDAR, booked()).when(
        lambda s, c: decide_cancel(s, command, c), now=AHEAD - notice
    ).then(
        SessionCancelled(
            session_id=SESSION,
            by=CancelledBy.CLIENT,
            reason="ill",
            notice_minutes=int(notice.total_seconds() // 60),
        )
    )


def test_the_late_rule_warns_below_its_hours_only() -> None:
    assert late_cancellation_warnings(24 * 60, SETTINGS) == []
    assert [one.code for one in late_cancellation_warnings(24 * 60 - 1, SETTINGS)] == [
        "late_cancellation"
    ]


def test_cancelling_twice_changes_nothing_and_an_arrived_session_is_not_cancelled() -> None:
    command = CancelSession(session_id=SESSION, by=CancelledBy.PRACTICE, reason="closed")
    once = SessionCancelled(
        session_id=SESSION, by=CancelledBy.PRACTICE, reason="closed", notice_minutes=9
    )
    given(CALENDAR, booked(), once).when(lambda s, c: decide_cancel(s, command, c)).then()
    refused = given(CALENDAR, booked(), arrived()).when(lambda s, c: decide_cancel(s, command, c))
    refused.rejected("session_status", 409)
    over = given(CALENDAR, booked()).when(
        lambda s, c: decide_cancel(s, command, c), now=AHEAD + timedelta(minutes=60)
    )
    over.rejected("session_over", 409)


def test_an_unknown_session_is_not_found() -> None:
    command = CancelSession(session_id=OTHER, by=CancelledBy.PRACTICE, reason="closed")
    given(CALENDAR, booked()).when(lambda s, c: decide_cancel(s, command, c)).rejected(
        "not_found", 404
    )


def test_only_booked_sessions_that_have_not_ended_are_upcoming() -> None:
    state = given(CALENDAR, booked(), booked(OTHER, slot(AHEAD + timedelta(days=1))), arrived())
    upcoming = list(state.state.upcoming(NOW))
    assert [one.id for one in upcoming] == [OTHER]
    assert state.state.session(SESSION).status is SessionStatus.ARRIVED
    assert list(state.state.upcoming(AHEAD + timedelta(days=2))) == []

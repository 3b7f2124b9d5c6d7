"""Safety incidents: what may be recorded of them, and where each then stands."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from types import SimpleNamespace
from typing import Any
from uuid import UUID

import pytest

from practice.core.reasons import Rejected
from sessions.incidents.domain import commands, decisions, events
from sessions.incidents.domain.decisions import IncidentPlace
from sessions.incidents.domain.incident import Incident
from sessions.incidents.domain.state import INCIDENTS
from sessions.incidents.domain.terms import (
    IncidentKind,
    IncidentStatus,
    IncidentStepKind,
    ToldWhom,
)
from tests.dsl import DESK, NOW, OWNER, PRACTITIONER, context, given

INCIDENT, STEP, SECOND, THIRD = UUID(int=50), UUID(int=51), UUID(int=52), UUID(int=53)
SESSION, HOUSE, OTHER = UUID(int=60), UUID(int=61), UUID(int=62)
THERE = PRACTITIONER.practitioner_id
BEFORE = NOW - timedelta(hours=2)
SESSIONS: Any = {
    SESSION: SimpleNamespace(facility_id=HOUSE, practitioner_id=THERE, zone="America/New_York")
}
PLACE = IncidentPlace(
    sessions=SESSIONS,
    zones={OTHER: "America/Los_Angeles"},
    client_zone="America/Chicago",
    birth_date=date(1971, 4, 23),
)
REPORTED = events.IncidentReported(
    incident_id=INCIDENT,
    content=events.IncidentContent(
        kind=IncidentKind.FALL,
        happened_at=BEFORE,
        what_happened="slipped",
        session_id=SESSION,
        facility_id=HOUSE,
        practitioner_id=THERE,
        call_on=date(2026, 3, 4),
    ),
    zone="America/New_York",
)
TOLD = events.IncidentTold(incident_id=INCIDENT, step_id=STEP, told_at=BEFORE, whom=ToldWhom.OWNER)
CLOSED = events.IncidentClosed(incident_id=INCIDENT, step_id=SECOND, closed_at=NOW, words="healed")
REOPENED = events.IncidentReopened(
    incident_id=INCIDENT, step_id=THIRD, reopened_at=NOW, reason="pain again"
)
TAKEN_BACK = events.IncidentStepInError(
    incident_id=INCIDENT, step_id=SECOND, step=IncidentStepKind.CLOSED, reason="too soon"
)
NONE = events.IncidentEnteredInError(incident_id=INCIDENT, reason="another client")
REASON = commands.ReasonOnly(reason="why")
CLOSE = commands.CloseIncident(words="healed")


def stands(*told: Any) -> Incident:
    return given(INCIDENTS, REPORTED, *told).state.incident(INCIDENT)


def followed_up(call_on: date | None) -> events.IncidentFollowedUp:
    return events.IncidentFollowedUp(
        incident_id=INCIDENT, step_id=THIRD, followed_up_at=NOW, words="better", call_on=call_on
    )


def report(**more: Any) -> Any:
    command = commands.ReportIncident(kind=IncidentKind.FALL, what_happened="slipped", **more)
    return decisions.report_incident(command, PLACE, context())


def code(decide: Any) -> str:
    with pytest.raises(Rejected) as refused:
        decide()
    return refused.value.code


@pytest.mark.parametrize(
    ("told", "warned"),
    [
        ((), ["2026-03-04"]),
        ((followed_up(date(2026, 3, 9)),), ["2026-03-09"]),
        ((followed_up(None),), []),
    ],
)
def test_closing_names_the_call_that_it_ends(told: tuple[Any, ...], warned: list[str]) -> None:
    found = decisions.closing_warnings(stands(*told))
    assert [one.code for one in found] == ["call_no_longer_due"] * len(warned)
    assert all(day in one.text for day, one in zip(warned, found, strict=True))


def test_a_report_takes_place_and_practitioner_from_its_session() -> None:
    (made,) = report(session_id=SESSION)
    assert (made.content.facility_id, made.content.practitioner_id) == (HOUSE, THERE)
    assert (made.zone, made.content.happened_at) == ("America/New_York", NOW)


def test_what_is_named_goes_before_the_session() -> None:
    (made,) = report(session_id=SESSION, facility_id=OTHER, practitioner_id=OTHER)
    assert (made.content.facility_id, made.content.practitioner_id) == (OTHER, OTHER)
    assert made.zone == "America/Los_Angeles"


def test_without_session_and_facility_the_clients_own_clock_holds() -> None:
    (made,) = report()
    assert (made.zone, made.content.facility_id) == ("America/Chicago", None)


def test_who_was_told_already_is_part_of_the_report() -> None:
    told = commands.TellOfIncident(whom=ToldWhom.SURGEON, name="Amara Whitfield")
    made, one = report(told=(told,))
    assert (one.incident_id, one.whom, one.told_at) == (
        made.incident_id,
        ToldWhom.SURGEON,
        NOW,
    )


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"session_id": OTHER}, "session_id"),
        ({"happened_at": NOW + timedelta(seconds=1)}, "happened_at"),
        ({"happened_at": datetime(1971, 4, 22, 12, tzinfo=UTC)}, "happened_at"),
        ({"call_on": date(2026, 3, 1)}, "call_on"),
        (
            {"told": (commands.TellOfIncident(whom=ToldWhom.OWNER, at=NOW - timedelta(days=1)),)},
            "at",
        ),
        (
            {"told": (commands.TellOfIncident(whom=ToldWhom.OWNER, at=NOW + timedelta(days=1)),)},
            "at",
        ),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(said: dict[str, Any], field: str) -> None:
    with pytest.raises(Rejected) as refused:
        report(**said)
    assert (refused.value.status, list(refused.value.fields or {})) == (400, [field])


def test_the_day_of_the_incident_may_be_the_day_of_the_call() -> None:
    (made,) = report(happened_at=NOW, call_on=date(2026, 3, 2))
    assert made.content.call_on == date(2026, 3, 2)


@pytest.mark.parametrize(
    ("told", "status", "call_on"),
    [
        ((), IncidentStatus.OPEN, date(2026, 3, 4)),
        ((TOLD,), IncidentStatus.OPEN, date(2026, 3, 4)),
        ((followed_up(date(2026, 3, 9)),), IncidentStatus.OPEN, date(2026, 3, 9)),
        ((followed_up(None),), IncidentStatus.OPEN, None),
        ((TOLD, CLOSED), IncidentStatus.CLOSED, None),
        ((TOLD, CLOSED, REOPENED), IncidentStatus.OPEN, date(2026, 3, 4)),
        ((TOLD, CLOSED, TAKEN_BACK), IncidentStatus.OPEN, date(2026, 3, 4)),
        ((NONE,), IncidentStatus.IN_ERROR, None),
    ],
)
def test_where_an_incident_stands_and_when_to_call(
    told: tuple[Any, ...], status: IncidentStatus, call_on: date | None
) -> None:
    incident = stands(*told)
    assert (incident.status, incident.call_on) == (status, call_on)
    assert (incident.closed_at is not None) == (status is IncidentStatus.CLOSED)


def test_a_call_before_the_last_follow_up_said_nothing_of_it() -> None:
    later = NOW + timedelta(days=2)
    assert stands().call_asked_at == NOW
    assert stands((followed_up(date(2026, 3, 9)), later), (TOLD, NOW)).call_asked_at == later


def test_closing_asks_that_somebody_was_told() -> None:
    close = lambda told: decisions.close_incident(stands(*told), CLOSE, context(actor=OWNER))  # noqa: E731
    assert code(lambda: close(())) == "nobody_told"
    (done,) = close((TOLD,))
    assert (done.closed_at, done.words) == (NOW, "healed")


def test_who_was_there_or_reported_it_does_not_close_it() -> None:
    def close(actor: Any) -> Any:
        return decisions.close_incident(stands(TOLD), CLOSE, context(actor=actor))

    another = type(PRACTITIONER)(id=UUID(int=14), role=PRACTITIONER.role, practitioner_id=OTHER)
    reporter = type(PRACTITIONER)(id=DESK.id, role=PRACTITIONER.role, practitioner_id=OTHER)
    for one in (PRACTITIONER, reporter):
        with pytest.raises(Rejected) as refused:
            close(one)
        assert (refused.value.code, refused.value.status) == ("own_incident", 403)
    assert close(another)
    owner = type(OWNER)(id=DESK.id, role=OWNER.role, practitioner_id=THERE)
    assert close(owner), "an owner may, or a practice of one could close nothing"


def test_what_is_closed_takes_no_follow_up_and_may_be_opened_again() -> None:
    closed = stands(TOLD, CLOSED)
    follow = commands.FollowUpIncident(words="better")
    ctx = context(actor=OWNER)
    assert code(lambda: decisions.follow_up_incident(closed, follow, ctx)) == "incident_closed"
    assert code(lambda: decisions.close_incident(closed, CLOSE, ctx)) == "incident_closed"
    assert decisions.reopen_incident(closed, REASON, ctx)
    tell = commands.TellOfIncident(whom=ToldWhom.INSURER)
    assert decisions.tell_of_incident(closed, tell, ctx), "an insurer is told later"
    assert code(lambda: decisions.reopen_incident(stands(), REASON, ctx)) == "incident_open"


def test_what_was_entered_in_error_takes_nothing_more() -> None:
    none, ctx = stands(NONE), context(actor=OWNER)
    tell = commands.TellOfIncident(whom=ToldWhom.OWNER)
    for act in (
        lambda: decisions.tell_of_incident(none, tell, ctx),
        lambda: decisions.close_incident(none, CLOSE, ctx),
        lambda: decisions.reopen_incident(none, REASON, ctx),
        lambda: decisions.enter_incident_in_error(none, REASON),
        lambda: decisions.correct_incident(none, commands.CorrectIncident(reason="x"), PLACE, ctx),
    ):
        assert code(act) == "incident_in_error"


def test_a_correction_says_what_is_other_and_another_session_brings_its_own() -> None:
    def correct(told: Any = (), **said: Any) -> Any:
        command = commands.CorrectIncident(reason="why", **said)
        (made,) = decisions.correct_incident(stands(*told), command, PLACE, context())
        return made.content

    assert correct(kind=IncidentKind.FAINT).what_happened == "slipped"
    assert correct(session_id=None).practitioner_id == THERE, "the rest stays"
    sessions: Any = {
        **SESSIONS,
        OTHER: SimpleNamespace(facility_id=OTHER, practitioner_id=OTHER, zone="America/Denver"),
    }
    place = IncidentPlace(sessions=sessions, zones={}, client_zone="America/Chicago")
    command = commands.CorrectIncident(reason="why", session_id=OTHER)
    (made,) = decisions.correct_incident(stands(), command, place, context())
    assert (made.content.facility_id, made.content.practitioner_id) == (OTHER, OTHER)
    assert made.zone == "America/Denver"
    assert code(lambda: correct(kind=IncidentKind.FALL)) == "nothing_to_correct"
    late = BEFORE + timedelta(seconds=1)
    assert code(lambda: correct((TOLD,), happened_at=late)) == "invalid"
    assert correct((), happened_at=late).happened_at == late


def test_a_step_is_taken_back_once() -> None:
    back = commands.TakeStepBack(step_id=SECOND, reason="too soon")
    (made,) = decisions.take_step_back(stands(TOLD, CLOSED), back)
    assert made == TAKEN_BACK
    again = stands(TOLD, CLOSED, TAKEN_BACK)
    assert code(lambda: decisions.take_step_back(again, back)) == "step_in_error_already"
    unknown = commands.TakeStepBack(step_id=OTHER, reason="x")
    assert code(lambda: decisions.take_step_back(again, unknown)) == "not_found"

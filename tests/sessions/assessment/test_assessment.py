"""From arrival answers, stops and verdicts to what a session and each line may be."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any
from uuid import UUID

import msgspec
import pytest

from clients.clinical.domain.facts import ClientFacts
from clients.clinical.domain.operations import known_histories
from clients.consent.domain.state import ConsentFacts
from clients.consent.domain.terms import ConsentStatus
from clients.health.domain.content import HistoryContent
from clients.health.domain.terms import ConditionKind, Limb, RedFlag
from clients.permissions.domain.results import SessionPermissions as Verdicts
from practice.core.terms import Mode, Side, Technique
from sessions.assessment.domain.assessment import Assessment, arrival_input
from sessions.assessment.domain.said_today import with_said_today
from sessions.calendar.domain.events import SessionStopped
from sessions.calendar.domain.session_state import SessionState, SessionStop
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.domain.terms import (
    HandsOnToday,
    InterpreterToday,
    NewSwelling,
    SubmittedArrivalAnswers,
)
from sessions.notes.domain.events import (
    NoteCount,
    NoteLine,
    NoteMarkedOutside,
    SessionTimes,
    TimeSource,
)
from sessions.notes.domain.line_permissions import line_permission, permitted
from sessions.notes.domain.outside import LinePermission
from sessions.notes.domain.state import SignedNote
from sessions.reevaluation.domain.decisions import (
    BookedReevaluation,
    NoteReevaluation,
    outside_permission_marks,
    reevaluation_flags,
)
from tests.clients.permissions.given import (
    ABDUCTION,
    CHEST,
    HISTORY,
    OPEN,
    STRETCHES,
    facts,
    settings,
)
from tests.dsl import NOW, given
from tests.sessions.booking.examples import AHEAD, SESSION, booked

WITHDRAWN = ConsentFacts(status=ConsentStatus.WITHDRAWN)
WELL = SubmittedArrivalAnswers(
    pain_now=1, feverish=False, swelling=(), new_symptoms=(), hands_on_today=HandsOnToday.YES
)


def case(**changes: Any) -> Assessment:
    return Assessment(
        facts=facts(**changes),
        stretches=STRETCHES,
        settings=settings(),
        revisions={"permissions": 9},
    )


def answered(**changes: Any) -> Verdicts:
    answers = msgspec.structs.replace(WELL, **changes)
    client = with_said_today(OPEN.client, answers)
    given_facts = msgspec.structs.replace(OPEN, client=client, arrival=arrival_input(answers))
    return Assessment(facts=given_facts, stretches=STRETCHES, settings=settings()).evaluated()


def codes(found: Verdicts) -> set[str]:
    return {reason.code for reason in found.reasons}


def test_a_session_is_planned_as_if_the_day_brings_nothing_new() -> None:
    ahead = case(arrival=None)
    assert ahead.planned().mode is Mode.HANDS_ON
    assert ahead.evaluated().mode is Mode.SELF_DIRECTED, "before arrival nothing is hands-on"


def test_what_is_kept_names_the_versions_that_decided() -> None:
    one = case()
    snapshot = one.snapshot(one.evaluated())
    assert snapshot.settings == {"permissions": 9}
    assert snapshot.limit_rows == (UUID(int=4),)
    assert (snapshot.record, snapshot.catalogue, snapshot.consent_id) == (7, 1, UUID(int=3))


@pytest.mark.parametrize(
    ("changes", "mode"),
    [
        ({}, Mode.HANDS_ON),
        ({"hands_on_today": HandsOnToday.NO}, Mode.SELF_DIRECTED),
        ({"hands_on_today": HandsOnToday.UNANSWERED}, Mode.SELF_DIRECTED),
        ({"pain_now": None}, Mode.SELF_DIRECTED),
        ({"fever_c": 38.0}, Mode.NOT_TODAY),
        ({"fever_c": 37.9}, Mode.HANDS_ON),
        ({"new_symptoms": (RedFlag.CHEST_PAIN,)}, Mode.NOT_TODAY),
        ({"pain_now": 7}, Mode.NOT_TODAY),
        ({"pain_now": 4, "usual_pain": 1}, Mode.NOT_TODAY),
        ({"pain_now": 3, "usual_pain": 1}, Mode.HANDS_ON),
    ],
)
def test_the_arrival_answers_decide_the_day(changes: Any, mode: Mode) -> None:
    assert answered(**changes).mode is mode


def test_a_swollen_arm_is_left_alone_that_day() -> None:
    found = answered(swelling=(NewSwelling(limb=Limb.ARM, side=Side.LEFT),))
    left = found.stretch_permission(ABDUCTION.code, Technique.ACTIVE_ISOLATED, Side.LEFT)
    assert left is not None
    assert left.mode is Mode.NOT_TODAY


def test_todays_usual_pain_narrows_and_never_frees() -> None:
    client = ClientFacts(reviewed=msgspec.structs.replace(HISTORY, usual_pain=1))
    higher = with_said_today(client, SubmittedArrivalAnswers(usual_pain=6))
    reported = [one.usual_pain for one in (client.reviewed, *higher.reported) if one]
    assert min(reported) == 1  # type: ignore[type-var]
    assert with_said_today(client, SubmittedArrivalAnswers()) is client


def session(**changes: Any) -> SessionState:
    return given(CALENDAR, booked(**changes)).state.session(SESSION)


def test_withdrawn_consent_flags_a_hands_on_session_with_the_reason() -> None:
    (flag,) = reevaluation_flags(
        [BookedReevaluation(session(), case(consent=WITHDRAWN))], "consent.withdrawn"
    )
    assert (flag.was, flag.now) == (Mode.HANDS_ON, Mode.SELF_DIRECTED)  # type: ignore[union-attr]
    assert flag.cause == "consent.withdrawn"  # type: ignore[union-attr]
    assert "consent.withdrawn" in {one.code for one in flag.reasons}  # type: ignore[union-attr]


def test_a_session_planned_self_directed_is_not_flagged_and_does_not_widen() -> None:
    planned = session(planned_mode=Mode.SELF_DIRECTED)
    assert reevaluation_flags([BookedReevaluation(planned, case(consent=WITHDRAWN))], "x") == []
    assert reevaluation_flags([BookedReevaluation(planned, case())], "consent.given") == []


def line(**changes: Any) -> NoteLine:
    values: dict[str, Any] = {
        "line_id": UUID(int=1),
        "stretch": ABDUCTION.code,
        "technique": Technique.ACTIVE_ISOLATED,
        "side": Side.LEFT,
        "mode": Mode.HANDS_ON,
        "minute": 10,
    }
    return NoteLine(**{**values, **changes})


def test_a_line_has_the_permission_of_its_stretch_technique_and_side() -> None:
    swollen = answered(swelling=(NewSwelling(limb=Limb.ARM, side=Side.LEFT),))
    assert line_permission(line(), swollen).mode is Mode.NOT_TODAY
    assert line_permission(line(side=Side.RIGHT), swollen).mode is Mode.HANDS_ON


def test_a_line_on_both_sides_takes_the_worse_side() -> None:
    swollen = answered(swelling=(NewSwelling(limb=Limb.ARM, side=Side.LEFT),))
    assert line_permission(line(side=Side.BOTH), swollen).mode is Mode.NOT_TODAY


def test_a_two_armed_stretch_is_found_whatever_side_the_line_names() -> None:
    found = line_permission(line(stretch=CHEST.code, side=Side.LEFT), answered())
    assert found.mode is Mode.HANDS_ON


def test_a_stretch_outside_the_catalogue_has_no_permission() -> None:
    found = line_permission(line(stretch="made_up"), answered())
    assert found.mode is Mode.SELF_DIRECTED
    assert found.reasons[0].code == "stretch_unknown"


def test_lines_after_a_stop_are_judged_by_it_and_those_before_are_not() -> None:
    state = given(CALENDAR, booked(), SessionStopped(session_id=SESSION, minute=20)).state
    one = state.session(SESSION)
    lines = [line(minute=19), line(line_id=UUID(int=2), minute=20)]
    asked: list[tuple[int, bool]] = []

    def permissions_at(at: Any, stop: SessionStop | None) -> Verdicts:
        asked.append(((at - AHEAD) // timedelta(minutes=1), stop is not None))
        return answered()

    permitted(one, lines, AHEAD, AHEAD + timedelta(minutes=60), permissions_at)
    assert asked == [(19, False), (20, True)]


def test_touch_stops_first_and_the_session_later_each_line_by_the_stop_before_it() -> None:
    touch = SessionStopped(session_id=SESSION, minute=10)
    left = SessionStopped(session_id=SESSION, minute=20, everything=True)
    one = given(CALENDAR, booked(), touch, left).state.session(SESSION)
    lines = [line(line_id=UUID(int=n), minute=n) for n in (9, 10, 19, 20)]
    asked: list[bool | None] = []

    def permissions_at(at: Any, stop: SessionStop | None) -> Verdicts:
        asked.append(None if stop is None else stop.everything)
        return answered()

    permitted(one, lines, AHEAD, AHEAD + timedelta(minutes=60), permissions_at)
    assert asked == [None, False, False, True]


def test_a_line_without_a_minute_is_judged_as_of_the_end() -> None:
    asked: list[int] = []

    def permissions_at(at: Any, stop: SessionStop | None) -> Verdicts:
        asked.append((at - AHEAD) // timedelta(minutes=1))
        return answered()

    permitted(session(), [line(minute=None)], AHEAD, AHEAD + timedelta(minutes=60), permissions_at)
    assert asked == [60]


NOTE = SignedNote(
    note_id=UUID(int=601),
    session_id=SESSION,
    practitioner_id=UUID(int=1),
    facility_id=UUID(int=2),
    zone="America/New_York",
    booked_minutes=60,
    signed_at=NOW,
    count=NoteCount(
        minutes=(),
        not_counted_minutes=0,
        times=SessionTimes(
            started_at=NOW,
            started_from=TimeSource.BOOKING,
            ended_at=NOW + timedelta(hours=1),
            ended_from=TimeSource.BOOKING,
        ),
    ),
    lines=(line(),),
    explained=frozenset(),
)
FREE = {UUID(int=1): LinePermission(Mode.HANDS_ON)}
NARROW = {UUID(int=1): LinePermission(Mode.SELF_DIRECTED)}


def test_a_late_fact_marks_the_lines_that_it_puts_outside() -> None:
    (mark,) = outside_permission_marks(
        [NoteReevaluation(NOTE, permitted=NARROW, before=FREE)], "consent.withdrawn"
    )
    assert isinstance(mark, NoteMarkedOutside)
    assert [one.line_id for one in mark.lines] == [UUID(int=1)]
    assert mark.cause == "consent.withdrawn"


@pytest.mark.parametrize(
    ("note", "permitted_now", "before"),
    [
        (NOTE, FREE, FREE),
        (NOTE, NARROW, NARROW),
        (replace(NOTE, explained=frozenset({UUID(int=1)})), NARROW, FREE),
        (replace(NOTE, marked=frozenset({UUID(int=1)})), NARROW, FREE),
    ],
)
def test_what_was_outside_before_explained_or_marked_is_not_marked_again(
    note: SignedNote, permitted_now: Any, before: Any
) -> None:
    assert (
        outside_permission_marks(
            [NoteReevaluation(note, permitted=permitted_now, before=before)], "x"
        )
        == []
    )


@pytest.mark.parametrize(
    ("there", "named", "counts"),
    [(True, True, True), (True, False, None), (False, False, False), (None, False, None)],
)
def test_an_interpreter_on_arrival_counts_once_named(
    there: bool | None, named: bool, counts: bool | None
) -> None:
    """Ruling 56."""
    who = InterpreterToday(name="Luz Ferrer", language="es") if named else None
    found = arrival_input(SubmittedArrivalAnswers(interpreter_present=there, interpreter=who))
    assert found is not None
    assert found.interpreter_present is counts
    assert found.interpreter_language == ("es" if named else "")


@pytest.mark.parametrize("reviewed", [True, False])
def test_chemotherapy_said_today_is_a_pathology_under_treatment(reviewed: bool) -> None:
    """Ruling 51: whatever a reviewer recorded before."""
    none = HistoryContent(pathology_under_treatment=False)
    client = msgspec.structs.replace(OPEN.client, reviewed=none if reviewed else None)
    said = with_said_today(client, SubmittedArrivalAnswers(chemotherapy=True))
    (history,) = known_histories(said)
    assert history.pathology_under_treatment is True
    assert [one.kind for one in history.conditions] == [ConditionKind.CHEMOTHERAPY]
    for answer in (False, None):
        assert with_said_today(client, SubmittedArrivalAnswers(chemotherapy=answer)) is client

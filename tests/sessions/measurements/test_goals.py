"""Goals: where their numbers come from, and that a changed goal is a new one."""

from __future__ import annotations

from uuid import UUID

import pytest

from practice.core.reasons import Rejected
from practice.core.terms import BodyPosition, Instrument, MotionType, Movement, Side
from sessions.catalogue.domain.terms import PostureKind
from sessions.measurements.domain.commands import RecordPosture, SetGoal
from sessions.measurements.domain.decisions import GoalFacts, decide_goal, decide_posture
from sessions.measurements.domain.events import (
    GoalBasis,
    GoalKind,
    PostureSeverity,
    ReadingRecorded,
)
from sessions.measurements.domain.state import MEASUREMENTS
from tests import dsl
from tests.sessions.shipped import MEASUREMENT, norms

FACTS = GoalFacts(settings=MEASUREMENT, norms=norms(), age=58)


def goal(*events, facts=FACTS, **wanted):
    values = {"movement": Movement.SHOULDER_FLEXION, "side": Side.LEFT, **wanted}
    state = dsl.Scenario(MEASUREMENTS, events).state
    return decide_goal(state, SetGoal(**values), facts, dsl.context())[0].event


def refused(*events, **wanted):
    with pytest.raises(Rejected) as caught:
        goal(*events, **wanted)
    return caught.value


@pytest.mark.parametrize("movement", [Movement.SHOULDER_FLEXION, Movement.SHOULDER_ABDUCTION])
def test_180_is_the_default_for_flexion_and_abduction(movement):
    # Common practice, no source.
    found = goal(movement=movement)
    assert (found.degrees, found.basis) == (180, GoalBasis.COMMON_PRACTICE)


def test_other_movements_default_to_the_norm_of_the_practices_edition():
    # AAOS: extension 60 (Norkin & White, appendix table).
    found = goal(movement=Movement.SHOULDER_EXTENSION)
    assert (found.degrees, found.basis, found.edition) == (60, GoalBasis.NORM, "AAOS")


def test_a_movement_with_no_norm_defaults_to_enough_for_daily_life():
    # Namdari 2012: cross-body adduction 116.
    found = goal(movement=Movement.SHOULDER_CROSS_BODY_ADDUCTION)
    assert (found.degrees, found.source) == (116, "Namdari 2012")


def test_an_age_and_sex_norm_keeps_its_edition_and_source():
    # Soucie 2011: women 45–69, 168.1.
    found = goal(basis=GoalBasis.NORM, edition="CDC 2011", sex="female")
    assert (found.degrees, found.edition) == (168, "CDC 2011")
    assert "Soucie" in found.source


def test_a_norm_that_fits_nobody_like_the_client_names_the_editions_at_hand():
    refusal = refused(basis=GoalBasis.NORM, edition="Walker")
    assert (refusal.status, "AAOS" in refusal.detail) == (400, True)


def test_daily_life_numbers_are_namdaris():
    # Namdari 2012: flexion 121, extension 46, abduction 128, cross-body adduction 116.
    wanted = {
        Movement.SHOULDER_FLEXION: 121,
        Movement.SHOULDER_EXTENSION: 46,
        Movement.SHOULDER_ABDUCTION: 128,
        Movement.SHOULDER_CROSS_BODY_ADDUCTION: 116,
    }
    for movement, degrees in wanted.items():
        assert goal(basis=GoalBasis.DAILY_LIFE, movement=movement).degrees == degrees


def measured(side, degrees, motion=MotionType.ACTIVE, **more):
    return ReadingRecorded(
        reading_id=UUID(int=degrees),
        movement=Movement.SHOULDER_FLEXION,
        side=side,
        motion=motion,
        degrees=degrees,
        position=BodyPosition.SITTING,
        instrument=Instrument.GONIOMETER,
        rater_id=UUID(int=5),
        **more,
    )


def test_the_other_sides_latest_active_unassisted_reading_can_be_the_goal():
    found = goal(
        measured(Side.RIGHT, 170),
        measured(Side.RIGHT, 174),
        measured(Side.RIGHT, 178, MotionType.PASSIVE),
        measured(Side.RIGHT, 179, assisted=True),
        basis=GoalBasis.OTHER_SIDE,
    )
    assert (found.degrees, found.reading_id) == (174, UUID(int=174))


def test_the_other_side_is_no_measure_when_it_was_operated_on_too():
    facts = GoalFacts(settings=MEASUREMENT, norms=norms(), affected=frozenset({Side.RIGHT}))
    with pytest.raises(Rejected) as caught:
        goal(measured(Side.RIGHT, 170), facts=facts, basis=GoalBasis.OTHER_SIDE)
    assert caught.value.code == "other_side_affected"


def test_a_number_needs_the_degrees_and_the_reason():
    assert "degrees" in refused(basis=GoalBasis.NUMBER).fields
    assert "reason" in refused(basis=GoalBasis.NUMBER, degrees=150).fields
    assert goal(basis=GoalBasis.NUMBER, degrees=150, reason="paints ceilings").degrees == 150


def test_a_changed_goal_is_a_new_one_that_names_the_one_it_replaces():
    first = goal()
    second = goal(first, basis=GoalBasis.DAILY_LIFE)

    assert second.replaces == first.goal_id
    state = dsl.Scenario(MEASUREMENTS, (first, second)).state
    assert state.goal(Movement.SHOULDER_FLEXION, Side.LEFT).degrees == 121
    assert len(state.goals) == 1


def test_posture_corrected_and_no_pain_are_goals_too():
    posture = goal(kind=GoalKind.POSTURE, finding=PostureKind.ROUNDED_SHOULDERS)
    assert (posture.finding, posture.degrees) == (PostureKind.ROUNDED_SHOULDERS, None)
    assert goal(kind=GoalKind.PAIN).pain_at_most == 0
    assert "finding" in refused(kind=GoalKind.POSTURE).fields


def test_another_posture_finding_needs_words():
    with pytest.raises(Rejected) as caught:
        decide_posture(
            RecordPosture(
                finding=PostureKind.OTHER, severity=PostureSeverity.MILD, observer_id=UUID(int=5)
            ),
            dsl.context(),
        )
    assert "description" in caught.value.fields

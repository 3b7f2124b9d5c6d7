"""Prescribed, active, discharged, resumed, ended: what each step takes."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from uuid import UUID

import pytest

from practice.core.reasons import Rejected
from practice.core.terms import Instrument, MotionType, Region, Side, Technique
from sessions.catalogue.domain.doses import dose_warnings
from sessions.catalogue.domain.terms import Dose, PostureKind
from sessions.measurements.domain.events import PostureRecorded, PostureSeverity
from sessions.stretches.domain.commands import AssignHomeExercise
from sessions.stretches.domain.decisions import (
    decide_end,
    decide_resume,
    decide_start,
    end_all_stretches,
)
from sessions.stretches.domain.events import StretchResumed
from sessions.stretches.domain.goal_progress import (
    goal_standings,
    proposes_discharge,
    review_prompt,
)
from sessions.stretches.domain.home_exercise_events import HomeExerciseAssigned
from sessions.stretches.domain.home_exercises import (
    decide_home_exercise_assignment,
    decide_home_exercise_discontinuation,
)
from sessions.stretches.domain.prescribing import CatalogueFacts
from sessions.stretches.domain.prescription_state import StretchStatus
from sessions.stretches.domain.state import STRETCHES
from tests import dsl
from tests.sessions.shipped import DOSES, MEASUREMENT
from tests.sessions.stretches.examples import ABDUCTION, BEN, FACILITY, FLEXION, Story, at, content

DAY = date(2026, 3, 2)


def refused(call):
    with pytest.raises(Rejected) as caught:
        call()
    return caught.value


def proposed(story, key, day=DAY):
    found = goal_standings(
        story.programme.prescriptions[key],
        story.motion,
        lambda m, _: MEASUREMENT.default_goals.get(m),
        MEASUREMENT,
        at(day, 20),
    )
    return proposes_discharge(story.programme.prescriptions[key], found)


def active(story=None, **prescribed):
    story = story or Story()
    key = story.prescribe(DAY - timedelta(days=30), **prescribed)
    story.start(key, DAY - timedelta(days=30))
    return story, key


def test_a_stretch_is_on_the_programme_once_per_side():
    story = Story()
    key = story.prescribe(DAY)
    refusal = refused(lambda: story.prescribe(DAY))
    assert (refusal.code, refusal.extra["prescription_id"]) == ("already_prescribed", str(key))
    assert "Bring it back" not in refusal.detail


def test_a_discharged_stretch_is_to_be_brought_back_not_prescribed_again():
    story = Story()
    story.discharged(DAY)
    assert "Bring it back" in refused(lambda: story.prescribe(DAY)).detail


def test_a_two_armed_stretch_is_for_both_sides_and_another_is_not():
    assert "side" in refused(lambda: Story().prescribe(DAY, content={"two_armed": True})).fields
    assert "side" in refused(lambda: Story(side=Side.BOTH).prescribe(DAY)).fields


def test_a_technique_that_the_stretch_is_not_done_with_is_refused():
    refusal = refused(lambda: Story().prescribe(DAY, techniques=(Technique.CONTRACT_RELAX,)))
    assert "active isolated, passive" in refusal.detail


def test_doses_that_are_not_given_are_the_catalogues():
    story, key = active(techniques=(Technique.ACTIVE_ISOLATED, Technique.PASSIVE))
    doses = story.programme.prescriptions[key].prescribed.doses
    assert [d.repetitions for d in doses] == [10, 3]


@pytest.mark.parametrize(
    ("dose", "says"),
    [
        # Active isolated 10–12 repetitions, 2–3 s: common practice, no source.
        (Dose(technique=Technique.ACTIVE_ISOLATED, repetitions=20, hold_seconds=2), "10 to 12"),
        (Dose(technique=Technique.ACTIVE_ISOLATED, repetitions=10, hold_seconds=10), "2 to 3 s"),
        # Contraction 3–6 s, then 10–30 s: Garber 2011 (from memory).
        (
            Dose(
                technique=Technique.CONTRACT_RELAX,
                repetitions=3,
                hold_seconds=20,
                contract_seconds=10,
            ),
            "3 to 6 s",
        ),
        # Passive 15–30 s: common practice; at least two days a week: Garber 2011.
        (Dose(technique=Technique.PASSIVE, repetitions=2, hold_seconds=90), "15 to 30 s"),
        (
            Dose(technique=Technique.PASSIVE, repetitions=2, hold_seconds=20, days_per_week=1),
            "at least 2",
        ),
    ],
)
def test_an_unusual_dose_is_taken_with_a_warning_that_says_what_is_usual(dose, says):
    (warning,) = dose_warnings(dose, DOSES)
    assert says in warning.text
    assert warning.source


def test_usual_doses_pass_without_a_warning():
    for dose in content().doses:
        assert dose_warnings(dose, DOSES) == []


def test_neck_stretches_are_held_longer_even_when_the_client_starts_the_movement():
    # Common practice, no source: 15–30 s.
    maintained = Dose(technique=Technique.ACTIVE_ISOLATED, repetitions=3, hold_seconds=20)
    assert dose_warnings(maintained, DOSES, neck=True) == []
    short_of_goal = Dose(technique=Technique.ACTIVE_ISOLATED, repetitions=10, hold_seconds=2)
    assert "15 to 30 s" in dose_warnings(short_of_goal, DOSES, neck=True)[0].text


def test_an_unusual_dose_stands_in_the_event_with_its_warning():
    short_of_goal = (Dose(technique=Technique.ACTIVE_ISOLATED, repetitions=2, hold_seconds=2),)
    story, key = active(doses=short_of_goal)
    assert "usual is 10 to 12" in story.programme.prescriptions[key].prescribed.warnings[0]


def test_contraction_seconds_belong_to_contract_relax_only():
    odd = Dose(
        technique=Technique.ACTIVE_ISOLATED, repetitions=10, hold_seconds=2, contract_seconds=5
    )
    assert "contract_seconds" in refused(lambda: Story().prescribe(DAY, doses=(odd,))).fields


def test_starting_twice_changes_nothing_and_not_before_it_was_prescribed():
    story, key = active()
    again = decide_start(
        story.programme, key, session_id=None, occurred_at=None, ctx=story.context(at(DAY))
    )
    assert again == []
    fresh = Story()
    new = fresh.prescribe(DAY)
    refusal = refused(
        lambda: decide_start(
            fresh.programme,
            new,
            session_id=None,
            occurred_at=at(DAY - timedelta(days=1)),
            ctx=fresh.context(at(DAY)),
        )
    )
    assert "occurred_at" in refusal.fields


def test_only_an_active_unassisted_reading_at_goal_proposes_a_discharge():
    story, key = active()
    story.measure(DAY, 180, motion=MotionType.PASSIVE)
    assert not proposed(story, key)
    story.measure(DAY, 180, assisted=True)
    assert not proposed(story, key)
    story.measure(DAY, 179)
    assert not proposed(story, key)
    story.measure(DAY, 180, hour=19)
    assert proposed(story, key)


def test_all_movements_must_be_at_goal_to_propose():
    story, key = active(content={"movements": (ABDUCTION, FLEXION)})
    story.measure(DAY, 180)
    assert not proposed(story, key)
    story.measure(DAY, 170, movement=FLEXION)
    assert not proposed(story, key)
    story.measure(DAY, 180, movement=FLEXION, hour=19)
    assert proposed(story, key)


def test_the_latest_reading_counts_not_the_best():
    story, key = active()
    story.measure(DAY - timedelta(days=7), 180)
    story.measure(DAY, 172)
    assert not proposed(story, key)


def test_a_prescribed_stretch_that_was_not_begun_cannot_be_discharged():
    story = Story()
    key = story.prescribe(DAY)
    story.measure(DAY, 180)
    assert refused(lambda: story.discharge(key, DAY)).code == "wrong_standing"


def test_without_a_reading_there_is_nothing_to_judge_a_re_check_against():
    story, key = active()
    story.measure(DAY, 180, motion=MotionType.PASSIVE)
    assert refused(lambda: story.discharge(key, DAY)).code == "nothing_measured"


def test_discharge_short_of_the_goal_needs_the_reason_and_keeps_the_last_active_reading():
    story, key = active()
    story.measure(DAY, 165, hour=16)
    assert "reason" in refused(lambda: story.discharge(key, DAY)).fields
    event = story.discharge(key, DAY, reason="enough for work")
    assert (event.at_goal, event.references[0].degrees) == (False, 165)


def test_the_discharge_keeps_what_decided_it():
    story = Story()
    key = story.discharged(DAY)
    discharge = story.programme.prescriptions[key].discharge
    assert discharge.at_goal
    assert (discharge.intervals, discharge.then_every, discharge.lead_days) == ((2, 6, 12), 12, 14)
    assert (discharge.zone, discharge.facility_id, discharge.policy_revision) == (
        "America/Los_Angeles",
        FACILITY,
        1,
    )


def test_a_discharge_cannot_lie_before_the_start_or_in_the_future():
    story, key = active()
    story.measure(DAY - timedelta(days=40), 180)
    early = refused(lambda: story.discharge(key, DAY - timedelta(days=35)))
    late = refused(lambda: story.discharge(key, DAY, now=at(DAY, 17)))
    assert "occurred_at" in early.fields
    assert "occurred_at" in late.fields


def test_a_practitioner_may_bring_a_stretch_back_at_any_loss_with_a_reason():
    story = Story()
    key = story.discharged(DAY)
    assert (
        "reason"
        in refused(lambda: decide_resume(story.programme, key, "", story.context(at(DAY)))).fields
    )
    (event,) = decide_resume(story.programme, key, "feels tight", story.context(at(DAY)))
    assert isinstance(event, StretchResumed)
    assert len(event.cancelled) == 3
    story.retain([event], at(DAY))
    assert story.programme.prescriptions[key].status is StretchStatus.ACTIVE
    assert story.programme.open_rechecks(key) == []
    assert decide_resume(story.programme, key, "again", story.context(at(DAY))) == []


def test_a_new_discharge_starts_the_count_anew():
    story = Story()
    key = story.discharged(DAY)
    later = date(2026, 6, 15)
    story.retain(decide_resume(story.programme, key, "tight", story.context(at(later))), at(later))
    story.measure(date(2026, 8, 3), 180, hour=17)
    story.discharge(key, date(2026, 8, 3))
    assert [r.planned.due_on for r in story.programme.open_rechecks(key)] == [
        date(2026, 10, 3),
        date(2027, 2, 3),
        date(2027, 8, 3),
    ]


def test_an_ended_stretch_cannot_come_back_and_ending_twice_changes_nothing():
    story = Story()
    key = story.discharged(DAY)
    story.retain(decide_end(story.programme, key, "moved away"), at(DAY))
    assert story.programme.open_rechecks(key) == []
    assert decide_end(story.programme, key, "again") == []
    refusal = refused(lambda: decide_resume(story.programme, key, "x", story.context(at(DAY))))
    assert refusal.code == "wrong_standing"
    assert story.prescribe(DAY) != key


def test_when_the_client_leaves_everything_on_the_programme_is_ended():
    story = Story()
    key = story.discharged(DAY)
    (event,) = end_all_stretches(story.programme, "left the practice")
    assert (event.prescription_id, len(event.cancelled)) == (key, 3)


def test_not_at_goal_after_three_months_prompts_to_review_or_refer():
    story, key = active()
    story.measure(DAY, 150)
    one = story.programme.prescriptions[key]
    found = goal_standings(
        one, story.motion, lambda *_: 180, MEASUREMENT, datetime(2027, 1, 1, tzinfo=UTC)
    )
    assert review_prompt(one, found, MEASUREMENT, at(date(2026, 4, 29))) is None
    prompt = review_prompt(one, found, MEASUREMENT, at(date(2026, 5, 1)))
    assert prompt.code == "review_or_refer"
    assert "practice policy" in prompt.source


def found(severity, number, side=Side.BOTH):
    return PostureRecorded(
        finding_id=UUID(int=number),
        finding=PostureKind.ROUNDED_SHOULDERS,
        side=side,
        severity=severity,
        observer_id=BEN,
    )


def test_a_goal_of_posture_is_met_when_the_finding_is_gone():
    story, key = active(content={"movements": ()}, findings=(PostureKind.ROUNDED_SHOULDERS,))
    story.events.append((found(PostureSeverity.MILD, 1), at(DAY - timedelta(days=3))))
    assert not proposed(story, key)
    story.events.append((found(PostureSeverity.NONE, 2), at(DAY)))
    assert proposed(story, key)


def test_an_estimate_is_no_reference_where_a_measured_reading_exists():
    story, key = active()
    story.measure(DAY - timedelta(days=2), 180)
    story.measure(DAY, 150, instrument=Instrument.ESTIMATE, hour=16)
    assert story.discharge(key, DAY).references[0].degrees == 180


def teach(**changes):
    values = {
        "stretch": "abduction_pattern",
        "side": Side.RIGHT,
        "dose": Dose(technique=Technique.ACTIVE_ISOLATED, repetitions=10, hold_seconds=2),
        "stop_signs": ("sharp pain",),
        "assigned_on": DAY,
        "assigned_by": BEN,
    }
    state = dsl.Scenario(STRETCHES, ()).state
    command = AssignHomeExercise(**{**values, **changes})
    return decide_home_exercise_assignment(
        state, command, CatalogueFacts(content(), 3, DOSES), dsl.context()
    )


def test_a_home_exercise_is_self_directed_with_signs_to_stop_at():
    (event,) = teach()
    assert (event.catalogue_version, event.stop_signs) == (3, ("sharp pain",))
    passive = Dose(technique=Technique.PASSIVE, repetitions=1, hold_seconds=20)
    assert "dose" in refused(lambda: teach(dose=passive)).fields
    assert "stop_signs" in refused(lambda: teach(stop_signs=(" ",))).fields


def test_a_home_exercise_is_taken_back_once():
    (event,) = teach()
    assert isinstance(event, HomeExerciseAssigned)
    state = dsl.Scenario(STRETCHES, (event,)).state
    (back,) = decide_home_exercise_discontinuation(state, event.home_exercise_id, "new swelling")
    after = dsl.Scenario(STRETCHES, (event, back)).state
    assert after.home == {}
    assert decide_home_exercise_discontinuation(after, event.home_exercise_id, "again") == []


def test_the_head_and_neck_region_is_what_makes_a_neck_dose_usual():
    facts = content(region=Region.HEAD_AND_NECK)
    maintained = (Dose(technique=Technique.ACTIVE_ISOLATED, repetitions=3, hold_seconds=20),)
    story, key = active(content={"region": facts.region}, doses=maintained)
    assert story.programme.prescriptions[key].prescribed.warnings == ()

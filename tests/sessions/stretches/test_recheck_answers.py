"""How a re-check is judged against the discharge, and every odd way a reading can come."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from practice.core.terms import Instrument, MotionType, Side
from sessions.catalogue.domain.terms import PostureKind
from sessions.measurements.domain.events import PostureRecorded, PostureSeverity
from sessions.stretches.domain.decisions import decide_end
from sessions.stretches.domain.events import (
    RecheckMaintained,
    RecheckRegressed,
    RecheckSkipped,
    StretchResumed,
)
from sessions.stretches.domain.prescription_state import RecheckStatus, StretchStatus
from sessions.stretches.domain.recheck_answers import NewSigns
from tests.sessions.stretches.examples import (
    ABDUCTION,
    BEN,
    FLEXION,
    Story,
    at,
)
from tests.sessions.stretches.rechecks import (
    DAY,
    SIX_MONTHS,
    TWELVE_MONTHS,
    TWO_MONTHS,
    kinds,
    opens,
    statuses,
)


def test_within_error_the_range_is_held_and_the_next_re_check_stands():
    story = Story()
    key = story.discharged(DAY)
    events = story.measure(TWO_MONTHS, 172)
    assert kinds(events) == [RecheckMaintained]
    assert (events[0].evaluations[0].change, events[0].evaluations[0].label) == (
        -8,
        "within_measurement_error",
    )
    assert opens(story, key) == [SIX_MONTHS, TWELVE_MONTHS]


def test_lost_from_nine_degrees_on_and_the_stretch_is_back_with_the_other_re_checks_cancelled():
    story = Story()
    key = story.discharged(DAY)
    regressed, resumed = story.measure(TWO_MONTHS, 171)
    assert isinstance(regressed, RecheckRegressed)
    assert (regressed.evaluations[0].change, regressed.evaluations[0].threshold) == (-9, 9)
    assert isinstance(resumed, StretchResumed)
    assert len(resumed.cancelled) == 2
    assert story.programme.prescriptions[key].status is StretchStatus.ACTIVE
    assert statuses(story) == [RecheckStatus.REGRESSED, RecheckStatus.ENDED, RecheckStatus.ENDED]


def test_two_small_losses_hide_no_large_one():
    story = Story()
    story.discharged(DAY)
    assert kinds(story.measure(TWO_MONTHS, 174)) == [RecheckMaintained]
    events = story.measure(SIX_MONTHS, 168)
    assert kinds(events) == [RecheckRegressed, StretchResumed]
    assert events[0].evaluations[0].change == -12


def test_another_rater_needs_twenty_degrees():
    assert kinds(_after_discharge(161, rater=BEN)) == [RecheckMaintained]
    assert kinds(_after_discharge(160, rater=BEN)) == [RecheckRegressed, StretchResumed]


def _after_discharge(degrees, **how):
    story = Story()
    story.discharged(DAY)
    return story.measure(TWO_MONTHS, degrees, **how)


@pytest.mark.parametrize(
    "how",
    [
        {"motion": MotionType.PASSIVE},
        {"instrument": Instrument.INCLINOMETER},
        {"instrument": Instrument.ESTIMATE},
        {"side": Side.LEFT},
        {"movement": FLEXION},
        {"assisted": True},
    ],
)
def test_an_unlike_reading_leaves_the_re_check_open(how):
    story = Story()
    key = story.discharged(DAY)
    assert story.measure(TWO_MONTHS, 120, **how) == []
    assert opens(story, key) == [TWO_MONTHS, SIX_MONTHS, TWELVE_MONTHS]


def test_early_by_fourteen_days_does_the_re_check_and_by_fifteen_does_not():
    early, earlier = Story(), Story()
    first, second = early.discharged(DAY), earlier.discharged(DAY)
    assert kinds(early.measure(TWO_MONTHS - timedelta(days=14), 178)) == [RecheckMaintained]
    assert earlier.measure(TWO_MONTHS - timedelta(days=15), 178) == []
    assert opens(early, first)[0] == SIX_MONTHS
    assert opens(earlier, second)[0] == TWO_MONTHS


def test_a_late_one_does_the_oldest_and_skips_intervals_already_passed():
    story = Story()
    key = story.discharged(DAY)
    events = story.measure(date(2026, 10, 1), 176)
    assert kinds(events) == [RecheckMaintained, RecheckSkipped]
    assert events[1].passed
    assert opens(story, key) == [TWELVE_MONTHS]


def test_a_second_reading_is_a_plain_one():
    story = Story()
    key = story.discharged(DAY)
    story.measure(TWO_MONTHS, 178)
    assert story.measure(TWO_MONTHS, 160, hour=20) == []
    assert opens(story, key) == [SIX_MONTHS, TWELVE_MONTHS]


def test_after_the_last_interval_they_come_yearly_until_ended():
    story = Story()
    key = story.discharged(DAY)
    story.measure(TWO_MONTHS, 178)
    story.measure(SIX_MONTHS, 178)
    maintained = story.measure(TWELVE_MONTHS, 178)[0]
    assert maintained.planned_next.due_on == date(2028, 3, 2)
    again = story.measure(date(2028, 3, 2), 178)[0]
    assert again.planned_next.due_on == date(2029, 3, 2)
    story.retain(decide_end(story.programme, key, "left"), at(date(2028, 4, 1)))
    assert opens(story, key) == []


def test_a_yearly_one_that_comes_very_late_skips_the_years_gone_by():
    story = Story()
    story.discharged(DAY)
    maintained = story.measure(date(2030, 5, 1), 178)[0]
    assert maintained.planned_next.due_on == date(2031, 3, 2)


def test_after_the_client_left_a_reading_is_a_plain_one():
    story = Story()
    key = story.discharged(DAY)
    story.retain(decide_end(story.programme, key, "left the practice"), at(date(2026, 4, 1)))
    assert story.measure(TWO_MONTHS, 120) == []
    assert set(statuses(story)) == {RecheckStatus.ENDED}


def test_a_reading_from_before_the_discharge_that_is_entered_late_answers_nothing():
    story = Story()
    key = story.discharged(DAY)
    assert story.measure(DAY - timedelta(days=3), 120) == []
    assert len(opens(story, key)) == 3


def test_of_several_movements_any_one_lost_brings_it_back():
    story = Story()
    story.discharged(DAY, content={"movements": (ABDUCTION, FLEXION)})
    assert kinds(story.measure(TWO_MONTHS, 160, movement=FLEXION)) == [
        RecheckRegressed,
        StretchResumed,
    ]


def test_of_several_movements_all_must_be_measured_to_hold():
    story = Story()
    key = story.discharged(DAY, content={"movements": (ABDUCTION, FLEXION)})
    assert story.measure(TWO_MONTHS, 178) == []
    assert opens(story, key)[0] == TWO_MONTHS
    maintained = story.measure(TWO_MONTHS, 178, movement=FLEXION, hour=19)
    assert kinds(maintained) == [RecheckMaintained]
    assert len(maintained[0].evaluations) == 2


def test_the_discharge_raters_reading_outranks_another_raters():
    story = Story()
    story.discharged(DAY, content={"movements": (ABDUCTION, FLEXION)})
    assert story.measure(TWO_MONTHS, 165, rater=BEN) == []  # 15 lost, two raters: within error
    regressed = story.measure(TWO_MONTHS, 165, hour=19)  # 15 lost, one rater: lost
    assert kinds(regressed) == [RecheckRegressed, StretchResumed]


@pytest.mark.parametrize(
    ("signs", "refer"),
    [
        (NewSigns(new_pain=True), True),
        (NewSigns(new_swelling=True), True),
        (NewSigns(new_pain=True, explanation="fell on the arm"), False),
        (NewSigns(), False),
    ],
)
def test_an_unexplained_loss_with_new_pain_or_swelling_is_referred(signs, refer):
    story = Story()
    story.discharged(DAY)
    assert story.measure(TWO_MONTHS, 150, signs=signs)[0].refer is refer


def test_posture_one_grade_worse_is_lost():
    story = Story()
    finding = PostureKind.ROUNDED_SHOULDERS

    def seen(severity, number):
        return PostureRecorded(
            finding_id=UUID(int=number), finding=finding, severity=severity, observer_id=BEN
        )

    key = story.prescribe(DAY - timedelta(days=30), content={"movements": ()}, findings=(finding,))
    story.start(key, DAY - timedelta(days=30))
    story.events.append((seen(PostureSeverity.NONE, 1), at(DAY, 17)))
    story.discharge(key, DAY)
    again = seen(PostureSeverity.MILD, 2)
    events = story.tell(again, at(TWO_MONTHS))
    assert kinds(events) == [RecheckRegressed, StretchResumed]
    assert events[0].postures[0].worse


def test_a_posture_finding_since_a_discharge_entered_late_answers_its_re_check():
    story = Story()
    finding = PostureKind.FORWARD_HEAD

    def seen(number, day):
        found = PostureRecorded(
            finding_id=UUID(int=number),
            finding=finding,
            severity=PostureSeverity.NONE,
            observer_id=BEN,
        )
        return story.tell(found, at(day, 17))

    key = story.prescribe(DAY - timedelta(days=30), content={"movements": ()}, findings=(finding,))
    story.start(key, DAY - timedelta(days=30))
    assert seen(1, DAY) == []
    assert seen(2, TWO_MONTHS) == []
    discharge = story.discharge(key, DAY, now=at(TWO_MONTHS + timedelta(days=1)))
    assert kinds(story.follow(discharge, at(DAY))) == [RecheckMaintained]


def test_a_reading_entered_late_is_judged_by_what_was_measured_until_then():
    """The other movement was measured later: with it, not before it, the re-check is held."""
    story = Story()
    key = story.discharged(DAY, content={"movements": (ABDUCTION, FLEXION)})
    later = TWO_MONTHS + timedelta(days=3)
    assert story.measure(later, 180, movement=FLEXION) == []
    assert kinds(story.measure(TWO_MONTHS, 180)) == [RecheckMaintained]
    maintained = next(when for event, when in story.events if isinstance(event, RecheckMaintained))
    assert (maintained, story.programme.open_rechecks(key)[0].planned.months) == (at(later), 6)


@settings(max_examples=100, deadline=None)
@given(st.integers(100, 180), st.integers(0, 40))
def test_a_smaller_range_is_never_judged_milder(degrees, less):
    order = {RecheckMaintained: 0, RecheckRegressed: 1}
    mild = order[type(_after_discharge(degrees)[0])]
    worse = order[type(_after_discharge(degrees - less)[0])]
    assert worse >= mild

"""Re-checks: when they fall, how they are judged, and every odd way they can come about."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from practice.core.reasons import Rejected
from practice.core.terms import Instrument, MotionType, Side
from sessions.catalogue.domain.terms import PostureKind
from sessions.measurements.domain.events import PostureRecorded, PostureSeverity
from sessions.stretches.domain.call_list import UpcomingSession, decide_call_listing, decide_skip
from sessions.stretches.domain.decisions import decide_end
from sessions.stretches.domain.events import (
    RecheckCoveredBySession,
    RecheckMaintained,
    RecheckPutOnCallList,
    RecheckRegressed,
    RecheckSkipped,
    ReminderChannel,
    StretchResumed,
)
from sessions.stretches.domain.prescription_state import RecheckStatus, StretchStatus
from sessions.stretches.domain.recheck_answers import NewSigns
from sessions.stretches.domain.recheck_dates import RecheckPlan, months_after
from tests import dsl
from tests.sessions.shipped import RECHECKS
from tests.sessions.stretches.examples import (
    ABDUCTION,
    BEN,
    EVERY_DAY,
    FLEXION,
    WEEKDAYS,
    ZONE,
    Story,
    at,
)

DAY = date(2026, 3, 2)  # a Monday
TWO_MONTHS, SIX_MONTHS, TWELVE_MONTHS = date(2026, 5, 2), date(2026, 9, 2), date(2027, 3, 2)


def plan(calendar=EVERY_DAY, zone=ZONE):
    return RecheckPlan(RECHECKS, replace(calendar, zone=zone), dsl.ids())


def kinds(events):
    return [type(one) for one in events]


def opens(story, key):
    return [r.planned.due_on for r in story.programme.open_rechecks(key)]


def statuses(story):
    return [r.status for r in story.programme.rechecks.values()]


# When they fall


def test_re_checks_fall_two_six_and_twelve_months_after_discharge():
    # Practice policy; no interval is published.
    assert [p.due_on for p in plan().first(DAY)] == [TWO_MONTHS, SIX_MONTHS, TWELVE_MONTHS]


@pytest.mark.parametrize(
    ("day", "months", "expected"),
    [
        (date(2025, 12, 31), 2, date(2026, 2, 28)),
        (date(2027, 12, 31), 2, date(2028, 2, 29)),
        (date(2028, 2, 29), 12, date(2029, 2, 28)),
        (date(2026, 8, 31), 6, date(2027, 2, 28)),
        (date(2026, 3, 30), 6, date(2026, 9, 30)),
    ],
)
def test_month_ends_are_clipped(day, months, expected):
    assert months_after(day, months) == expected


def test_a_clipped_month_does_not_shorten_the_next_ones():
    # 31 December + 2 months is 28 February; + 6 is 30 June, counted from the discharge itself.
    assert plan().first(date(2025, 12, 31))[1].due_on == date(2026, 6, 30)


def test_a_closed_day_moves_to_the_next_open_one():
    # 2 May 2026 is a Saturday; Monday the 4th is a holiday of this place.
    calendar = replace(WEEKDAYS, closed_days=frozenset({date(2026, 5, 4)}))
    assert plan(calendar).on(DAY, 2).due_on == date(2026, 5, 5)


def test_a_place_that_is_never_open_keeps_the_day():
    assert plan(replace(WEEKDAYS, usual_weekdays=frozenset())).on(DAY, 2).due_on == TWO_MONTHS


def test_due_is_the_begin_of_the_local_day_on_both_sides_of_a_clock_change():
    # Los Angeles: 8 March 2026 forward, 1 November 2026 back (IANA time zone database).
    winter, summer = plan().on(date(2026, 1, 5), 2), plan().on(date(2026, 1, 15), 2)
    assert winter.due_at == datetime(2026, 3, 5, 8, tzinfo=UTC)
    assert summer.due_at == datetime(2026, 3, 15, 7, tzinfo=UTC)
    assert summer.call_at == datetime(2026, 3, 1, 17, tzinfo=UTC)  # 09:00 still in winter time


def test_a_midnight_that_does_not_exist_goes_forward():
    # Beirut skips 00:00–01:00 on 29 March 2026 (IANA time zone database).
    one = plan(zone="Asia/Beirut").on(date(2026, 1, 29), 2)
    assert one.due_on == date(2026, 3, 29)
    assert one.due_at == datetime(2026, 3, 28, 22, tzinfo=UTC)


@settings(max_examples=200)
@given(st.dates(date(2000, 1, 1), date(2100, 1, 1)), st.integers(1, 60))
def test_a_re_check_is_never_before_its_month_and_always_on_an_open_day(day, months):
    one = plan(WEEKDAYS).on(day, months)
    assert WEEKDAYS.is_open_on(one.due_on)
    assert 0 <= (one.due_on - months_after(day, months)).days <= 2
    assert one.call_at < one.due_at


def test_a_discharge_of_ten_weeks_ago_entered_today_has_its_first_re_check_due_already():
    story = Story()
    key = story.prescribe(DAY - timedelta(days=30))
    story.start(key, DAY - timedelta(days=30))
    story.measure(DAY, 180, hour=17)
    now = at(DAY + timedelta(weeks=10))
    event = story.discharge(key, DAY, now=now)
    assert event.discharged_on == DAY
    assert event.planned[0].due_at < now
    assert event.planned[0].call_at < now
    assert event.planned[1].call_at > now


def test_the_discharge_day_is_the_local_one():
    story = Story()
    key = story.prescribe(DAY - timedelta(days=30))
    story.start(key, DAY - timedelta(days=30))
    story.measure(DAY, 180, hour=3)
    # 04:00 UTC on Monday the 2nd is still Sunday the 1st in Los Angeles.
    event = story.discharge(key, DAY, hour=4)
    assert event.discharged_on == DAY - timedelta(days=1)
    assert event.planned[0].due_on == date(2026, 5, 1)


# Judged against the discharge reading


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


# The call


def call(story, recheck_id, now, *upcoming):
    return decide_call_listing(
        story.programme, recheck_id, upcoming, RECHECKS, ReminderChannel.MAIL, story.context(now)
    )


def session(day, number=1, hours=1):
    begin = at(day)
    return UpcomingSession(UUID(int=number), begin, begin + timedelta(hours=hours))


def first_recheck(story, key):
    return story.programme.open_rechecks(key)[0].planned


def test_a_re_check_coming_due_is_called_once():
    story = Story()
    key = story.discharged(DAY)
    one = first_recheck(story, key)
    made = story.retain(call(story, one.recheck_id, one.call_at), one.call_at)
    assert kinds(made) == [RecheckPutOnCallList]
    assert call(story, one.recheck_id, one.call_at) == []
    assert opens(story, key)[0] == TWO_MONTHS  # called, and still to be done


def test_a_session_near_the_date_carries_the_check_and_nobody_is_called():
    story = Story()
    key = story.discharged(DAY)
    one = first_recheck(story, key)
    near = session(TWO_MONTHS + timedelta(days=5))
    made = story.retain(call(story, one.recheck_id, one.call_at, near), one.call_at)
    assert kinds(made) == [RecheckCoveredBySession]
    assert made[0].next_review_at > near.ends_at
    assert call(story, one.recheck_id, one.call_at, near) == []


@pytest.mark.parametrize("days", [-15, 8])
def test_a_session_far_from_the_date_does_not_carry_it(days):
    story = Story()
    key = story.discharged(DAY)
    one = first_recheck(story, key)
    far = session(TWO_MONTHS + timedelta(days=days))
    now = one.call_at - timedelta(days=3)
    assert kinds(call(story, one.recheck_id, now, far)) == [RecheckPutOnCallList]


def test_a_carrying_session_that_measured_nothing_leaves_it_to_the_call_list():
    story = Story()
    key = story.discharged(DAY)
    one = first_recheck(story, key)
    near = session(TWO_MONTHS)
    (carried,) = story.retain(call(story, one.recheck_id, one.call_at, near), one.call_at)
    assert kinds(call(story, one.recheck_id, carried.next_review_at, near)) == [
        RecheckPutOnCallList
    ]


def test_a_carrying_session_that_was_moved_carries_it_still():
    story = Story()
    key = story.discharged(DAY)
    one = first_recheck(story, key)
    story.retain(call(story, one.recheck_id, one.call_at, session(TWO_MONTHS)), one.call_at)
    moved = session(TWO_MONTHS + timedelta(days=3))
    again = call(story, one.recheck_id, at(TWO_MONTHS, 23), moved)
    assert kinds(again) == [RecheckCoveredBySession]


def test_nobody_is_called_for_what_is_done_skipped_or_fallen_away():
    for what in ("maintained", "regressed", "ended", "skipped"):
        story = Story()
        key = story.discharged(DAY)
        one = first_recheck(story, key)
        when = one.call_at
        if what in ("maintained", "regressed"):
            story.measure(
                TWO_MONTHS - timedelta(days=14), 178 if what == "maintained" else 150, hour=12
            )
        elif what == "ended":
            story.retain(decide_end(story.programme, key, "left"), when)
        else:
            skipped = decide_skip(
                story.programme, one.recheck_id, "abroad", story.facts(), story.context(when)
            )
            story.retain(skipped, when)
        assert call(story, one.recheck_id, when) == [], what


def test_skipping_takes_a_reason_and_a_repeat_changes_nothing():
    story = Story()
    key = story.discharged(DAY)
    one = first_recheck(story, key)
    ctx = story.context(at(TWO_MONTHS))
    with pytest.raises(Rejected) as caught:
        decide_skip(story.programme, one.recheck_id, " ", story.facts(), ctx)
    assert "reason" in caught.value.fields
    story.retain(
        decide_skip(story.programme, one.recheck_id, "abroad", story.facts(), ctx), at(TWO_MONTHS)
    )
    assert decide_skip(story.programme, one.recheck_id, "abroad", story.facts(), ctx) == []
    assert opens(story, key) == [SIX_MONTHS, TWELVE_MONTHS]


def test_skipping_the_last_interval_plans_the_next_year():
    story = Story()
    key = story.discharged(DAY)
    story.measure(TWO_MONTHS, 178)
    story.measure(SIX_MONTHS, 178)
    one = first_recheck(story, key)
    (event,) = decide_skip(
        story.programme, one.recheck_id, "abroad", story.facts(), story.context(at(TWELVE_MONTHS))
    )
    assert event.planned_next.due_on == date(2028, 3, 2)


def test_a_re_check_that_is_done_cannot_be_skipped():
    story = Story()
    story.discharged(DAY)
    maintained = story.measure(TWO_MONTHS, 178)[0]
    with pytest.raises(Rejected) as caught:
        decide_skip(
            story.programme,
            maintained.recheck_id,
            "late",
            story.facts(),
            story.context(at(SIX_MONTHS)),
        )
    assert caught.value.code == "recheck_not_open"

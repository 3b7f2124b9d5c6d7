"""Readings: impossible, unlikely, late; like compared with like."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from practice.core.reasons import Rejected
from practice.core.terms import BodyPosition, Instrument, MotionType, Movement, Side
from sessions.measurements.domain.commands import RecordReading
from sessions.measurements.domain.comparison import (
    ChangeLabel,
    ComparableReading,
    ComparisonBase,
    asks_second_reading,
    compare_all,
    label_change,
    reading_kind,
    taken_before,
)
from sessions.measurements.domain.decisions import decide_reading, decide_reading_in_error
from sessions.measurements.domain.events import ReadingEnteredInError, ReadingRecorded
from sessions.measurements.domain.state import MEASUREMENTS
from tests import dsl
from tests.sessions.shipped import MEASUREMENT

ANNA, BEN = UUID(int=51), UUID(int=52)
DAY_1 = datetime(2026, 1, 5, 10, tzinfo=UTC)


def command(**changes):
    values = {
        "movement": Movement.SHOULDER_ABDUCTION,
        "side": Side.RIGHT,
        "motion": MotionType.ACTIVE,
        "degrees": 140,
        "position": BodyPosition.SITTING,
        "instrument": Instrument.GONIOMETER,
        "rater_id": ANNA,
    }
    return RecordReading(**{**values, **changes})


def reading(degrees, day=0, rater=ANNA, **changes):
    values = {
        "reading_id": UUID(int=9000 + day * 10 + rater.int % 10),
        "occurred_at": DAY_1 + timedelta(days=day),
        "recorded_at": DAY_1 + timedelta(days=day),
        "version": 1 + day,
        "session_id": None,
        "movement": Movement.SHOULDER_ABDUCTION,
        "side": Side.RIGHT,
        "motion": MotionType.ACTIVE,
        "degrees": degrees,
        "position": BodyPosition.SITTING,
        "instrument": Instrument.GONIOMETER,
        "rater_id": rater,
    }
    return ComparableReading(**{**values, **changes})


def refused(call):
    with pytest.raises(Rejected) as caught:
        call()
    return caught.value


def test_an_impossible_value_is_refused_and_the_possible_range_named():
    refusal = refused(lambda: decide_reading(command(degrees=260), MEASUREMENT, dsl.context()))
    assert (refusal.status, refusal.code) == (400, "impossible_degrees")
    assert "0° to 210°" in refusal.detail


def test_an_unlikely_value_asks_for_a_confirmation_and_is_then_kept_as_confirmed():
    refusal = refused(lambda: decide_reading(command(degrees=10), MEASUREMENT, dsl.context()))
    assert (refusal.status, refusal.code) == (400, "unlikely_degrees")
    assert refusal.extra["usual"] == [20, 195]
    (dated,) = decide_reading(
        command(degrees=10, confirmed_unlikely=True), MEASUREMENT, dsl.context()
    )
    assert dated.event.confirmed_unlikely


def test_a_usual_value_is_not_marked_as_unlikely_even_when_confirmed():
    (dated,) = decide_reading(command(confirmed_unlikely=True), MEASUREMENT, dsl.context())
    assert not dated.event.confirmed_unlikely


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"side": Side.BOTH}, "side"),
        ({"movement": Movement.NECK_FLEXION, "degrees": 40}, "side"),
        ({"instrument": Instrument.TAPE}, "instrument"),
        ({"pain": 11}, "pain"),
        ({"occurred_at": dsl.NOW + timedelta(minutes=1)}, "occurred_at"),
    ],
)
def test_what_cannot_be_names_its_field(changes, field):
    refusal = refused(lambda: decide_reading(command(**changes), MEASUREMENT, dsl.context()))
    assert refusal.status == 400
    assert field in refusal.fields


def test_a_late_entry_keeps_the_time_it_was_taken():
    at = dsl.NOW - timedelta(days=70)
    (dated,) = decide_reading(command(occurred_at=at), MEASUREMENT, dsl.context())
    assert dated.occurred_at == at


def recorded(degrees, number=1):
    return ReadingRecorded(
        reading_id=UUID(int=number),
        movement=Movement.SHOULDER_ABDUCTION,
        side=Side.RIGHT,
        motion=MotionType.ACTIVE,
        degrees=degrees,
        position=BodyPosition.SITTING,
        instrument=Instrument.GONIOMETER,
        rater_id=ANNA,
    )


def test_a_reading_entered_in_error_leaves_the_clinical_view_and_a_repeat_changes_nothing():
    scenario = dsl.Scenario(
        MEASUREMENTS,
        (recorded(140), ReadingEnteredInError(reading_id=UUID(int=1), reason="wrong side")),
    )
    assert scenario.state.readings == ()
    assert scenario.state.reading(UUID(int=1)) is None
    assert not any(scenario.state.alike.values())
    assert decide_reading_in_error(scenario.state, UUID(int=1), "again") == []


def test_readings_stand_in_order_of_time_taken_whatever_the_order_of_entry():
    late = (recorded(120, 2), dsl.NOW - timedelta(days=30))
    scenario = dsl.Scenario(MEASUREMENTS, ((recorded(140, 1), dsl.NOW), late))
    assert [r.degrees for r in scenario.state.readings] == [120, 140]
    newest = scenario.state.reading(UUID(int=1))
    assert [r.degrees for r in scenario.state.taken_before(newest)] == [120]


def earlier(new, readings):
    alike = [one for one in readings if reading_kind(one) == reading_kind(new)]
    return taken_before(new, sorted(alike, key=lambda one: one.order))


def labels(new, *others, discharge=None):
    found = compare_all(
        new,
        earlier(new, [new, *others]),
        MEASUREMENT,
        day=lambda t: t.date(),
        discharge=discharge,
    )
    return {c.against: (c.change, c.label) for c in found}


@pytest.mark.parametrize(
    ("change", "label"),
    [
        (-9, ChangeLabel.REGRESSED),
        (-8, ChangeLabel.WITHIN_ERROR),
        (8, ChangeLabel.WITHIN_ERROR),
        (9, ChangeLabel.IMPROVED),
    ],
)
def test_one_raters_change_counts_from_nine_degrees(change, label):
    assert labels(reading(150 + change, 7), reading(150))[ComparisonBase.LAST] == (change, label)


@pytest.mark.parametrize(
    ("change", "label"),
    [
        (-20, ChangeLabel.REGRESSED),
        (-19, ChangeLabel.WITHIN_ERROR),
        (19, ChangeLabel.WITHIN_ERROR),
        (20, ChangeLabel.IMPROVED),
    ],
)
def test_two_raters_change_counts_from_twenty_degrees(change, label):
    found = labels(reading(150 + change, 7, BEN), reading(150))
    assert found[ComparisonBase.LAST] == (change, label)


@pytest.mark.parametrize(
    "unlike",
    [
        {"side": Side.LEFT},
        {"movement": Movement.SHOULDER_FLEXION},
        {"motion": MotionType.PASSIVE},
        {"instrument": Instrument.INCLINOMETER},
        {"assisted": True},
    ],
)
def test_unlike_readings_are_never_compared(unlike):
    assert labels(reading(120, 7), reading(150, **unlike)) == {}


def test_an_estimate_is_compared_but_not_judged():
    found = labels(
        reading(100, 7, instrument=Instrument.ESTIMATE),
        reading(150, instrument=Instrument.ESTIMATE),
    )
    assert found[ComparisonBase.LAST] == (-50, ChangeLabel.NOT_EVALUATED)


def test_two_small_losses_show_as_one_large_one_against_best_and_discharge():
    discharge = reading(180)
    found = labels(reading(166, 20), discharge, reading(173, 10), discharge=discharge)
    assert found[ComparisonBase.LAST] == (-7, ChangeLabel.WITHIN_ERROR)
    assert found[ComparisonBase.DISCHARGE] == (-14, ChangeLabel.REGRESSED)
    assert found[ComparisonBase.BEST] == (-14, ChangeLabel.REGRESSED)


def test_a_pair_of_one_rater_outranks_a_pair_of_two_on_the_same_day():
    ours, theirs = reading(150, 0, ANNA), reading(165, 0, BEN)
    later = reading(140, 7, ANNA)
    found = compare_all(
        later, earlier(later, [ours, theirs, later]), MEASUREMENT, day=lambda t: t.date()
    )
    last = next(c for c in found if c.against is ComparisonBase.LAST)
    assert (last.reading_id, last.same_rater, last.label) == (
        ours.reading_id,
        True,
        ChangeLabel.REGRESSED,
    )


def test_of_several_readings_of_the_first_and_the_last_day_the_same_raters_latest_are_taken():
    minutes = lambda n: dsl.NOW + timedelta(minutes=n)  # noqa: E731
    first = [
        reading(150, 0, BEN, reading_id=UUID(int=1), occurred_at=minutes(0)),
        reading(140, 0, ANNA, reading_id=UUID(int=2), occurred_at=minutes(5)),
        reading(141, 0, ANNA, reading_id=UUID(int=3), occurred_at=minutes(9)),
        reading(142, 0, BEN, reading_id=UUID(int=4), occurred_at=minutes(12)),
    ]
    between = reading(90, 3, ANNA, reading_id=UUID(int=5), occurred_at=minutes(3 * 1440))
    last = [
        reading(130, 5, ANNA, reading_id=UUID(int=6), occurred_at=minutes(5 * 1440)),
        reading(131, 5, BEN, reading_id=UUID(int=7), occurred_at=minutes(5 * 1440 + 1)),
    ]
    new = reading(120, 9, ANNA, reading_id=UUID(int=8), occurred_at=minutes(9 * 1440))
    everything = [*first, between, *last, new]
    found = compare_all(new, earlier(new, everything), MEASUREMENT, day=lambda t: t.date())
    chosen = {c.against: c.reading_id.int for c in found}
    assert chosen == {
        ComparisonBase.BASELINE: 3,
        ComparisonBase.LAST: 6,
        ComparisonBase.BEST: 1,
    }
    without = [one for one in everything if one.reading_id.int != 6]
    found = compare_all(new, earlier(new, without), MEASUREMENT, day=lambda t: t.date())
    assert next(c for c in found if c.against is ComparisonBase.LAST).reading_id.int == 7


def test_a_drop_of_five_degrees_asks_for_a_second_reading_that_day_once():
    before, drop = reading(150), reading(145, 7)
    day = lambda t: t.date()  # noqa: E731
    assert asks_second_reading(drop, earlier(drop, [before, drop]), MEASUREMENT, day=day)
    small = reading(146, 7)
    assert not asks_second_reading(small, earlier(small, [before, small]), MEASUREMENT, day=day)
    second = reading(
        144, 7, occurred_at=drop.occurred_at + timedelta(minutes=5), reading_id=UUID(int=1)
    )
    assert not asks_second_reading(
        second, earlier(second, [before, drop, second]), MEASUREMENT, day=day
    )
    by_another = reading(144, 7, BEN, occurred_at=drop.occurred_at + timedelta(minutes=5))
    assert asks_second_reading(
        by_another, earlier(by_another, [before, drop, by_another]), MEASUREMENT, day=day
    )


@given(st.integers(-60, 60), st.floats(1, 30))
def test_labels_are_symmetric(change, limit):
    swap = {
        ChangeLabel.IMPROVED: ChangeLabel.REGRESSED,
        ChangeLabel.REGRESSED: ChangeLabel.IMPROVED,
    }
    label = label_change(change, limit)
    assert label_change(-change, limit) is swap.get(label, label)


@given(st.lists(st.tuples(st.integers(60, 190), st.integers(0, 60), st.booleans()), max_size=8))
def test_comparisons_never_mix_kinds_and_best_is_never_below_last(rest):
    others = [
        reading(
            degrees,
            day,
            version=n,
            reading_id=UUID(int=n),
            instrument=Instrument.INCLINOMETER if inclined else Instrument.GONIOMETER,
        )
        for n, (degrees, day, inclined) in enumerate(rest, 1)
    ]
    new = reading(120, 90, version=99, reading_id=UUID(int=99))
    by_id = {r.reading_id: r for r in others}
    found = {
        c.against: c
        for c in compare_all(new, earlier(new, [*others, new]), MEASUREMENT, day=lambda t: t.date())
    }
    assert all(reading_kind(by_id[c.reading_id]) == reading_kind(new) for c in found.values())
    if ComparisonBase.LAST in found:
        assert found[ComparisonBase.BEST].degrees >= found[ComparisonBase.LAST].degrees

"""Where a measurement begins and ends to count: pain, what stands, hitching, arms compared."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from clients.health.domain.content import Operation
from clients.health.domain.terms import OperationKind
from practice.clock import clock
from practice.core.events import DatedEvent
from practice.core.reasons import Rejected
from practice.core.terms import (
    BodyPosition,
    Instrument,
    MotionType,
    Movement,
    Role,
    Side,
)
from practice.work.projection_runner import MemoryRows
from sessions.catalogue.domain.terms import PostureKind
from sessions.measurements.domain.body import hitches
from sessions.measurements.domain.decisions import (
    check_pain,
    decide_circumferences_in_error,
    decide_posture_in_error,
    decide_reading_in_error,
)
from sessions.measurements.domain.events import (
    CircumferencesMeasured,
    GoalBasis,
    GoalKind,
    GoalSet,
    PostureRecorded,
    PostureSeverity,
    ReadingEnteredInError,
    ReadingRecorded,
)
from sessions.measurements.domain.projections import READING_ROWS
from sessions.measurements.domain.state import MEASUREMENTS
from sessions.measurements.domain.swelling import compare_arms
from sessions.measurements.selectors.circumferences import circumferences_evaluated
from sessions.measurements.selectors.readings import reading_series
from tests import dsl
from tests.builders import Built, ok, refused
from tests.sessions.people import open_client, reviewed, tell
from tests.sessions.stretches.stories import discharged

RATER = UUID(int=5)
ARM = (16.0, 18.0, 21.0, 24.0, 26.0, 28.0)
READING = ReadingRecorded(
    reading_id=UUID(int=31),
    movement=Movement.SHOULDER_ABDUCTION,
    side=Side.RIGHT,
    motion=MotionType.ACTIVE,
    degrees=140,
    position=BodyPosition.SITTING,
    instrument=Instrument.GONIOMETER,
    rater_id=RATER,
)


def circumferences(number: int, *, left: float = 1, baseline: bool = False) -> Any:
    return CircumferencesMeasured(
        circumferences_id=UUID(int=number),
        interval_cm=4,
        left=tuple(one * left**0.5 for one in ARM),
        right=ARM,
        baseline=baseline,
        rater_id=RATER,
    )


@pytest.mark.parametrize(
    ("pain", "taken"), [(-1, False), (0, True), (10, True), (11, False), (None, True)]
)
def test_pain_is_from_none_to_worst(pain: int | None, *, taken: bool) -> None:
    if taken:
        check_pain(pain)
    else:
        with pytest.raises(Rejected):
            check_pain(pain)


@pytest.mark.parametrize(
    "decide", [decide_reading_in_error, decide_posture_in_error, decide_circumferences_in_error]
)
def test_what_was_never_measured_is_not_entered_in_error(decide: Any) -> None:
    """A slip of the id is told, and is no event."""
    state = dsl.Scenario(MEASUREMENTS, (READING,)).state
    with pytest.raises(Rejected) as caught:
        decide(state, UUID(int=404), "another client")
    assert caught.value.status == 404


def test_a_goal_that_was_replaced_stands_no_longer() -> None:
    def goal(number: int, replaces: int | None = None) -> GoalSet:
        return GoalSet(
            goal_id=UUID(int=number),
            kind=GoalKind.PAIN,
            basis=GoalBasis.NUMBER,
            pain_at_most=number,
            replaces=None if replaces is None else UUID(int=replaces),
            source="a test",
        )

    stand = dsl.Scenario(MEASUREMENTS, (goal(1), goal(2), goal(3, replaces=1))).state.goals
    assert set(stand) == {UUID(int=2), UUID(int=3)}


def test_a_reading_entered_in_error_leaves_the_list_and_no_other_does() -> None:
    other = ReadingRecorded(
        **{name: getattr(READING, name) for name in READING.__struct_fields__}
        | {"reading_id": UUID(int=32)}
    )
    rows = MemoryRows(dsl.STREAM)
    gone = ReadingEnteredInError(reading_id=READING.reading_id, reason="another client")
    for version, event in enumerate((READING, other, gone), start=1):
        READING_ROWS.apply(rows, dsl.recorded(event, version))
    assert set(rows.rows) == {other.reading_id}


@pytest.mark.parametrize(
    ("finding", "side", "severity", "found"),
    [
        (PostureKind.HITCHING, Side.LEFT, PostureSeverity.MILD, True),
        (PostureKind.HITCHING, Side.BOTH, PostureSeverity.SEVERE, True),
        (PostureKind.HITCHING, Side.RIGHT, PostureSeverity.SEVERE, False),
        (PostureKind.HITCHING, Side.LEFT, PostureSeverity.NONE, False),
        (PostureKind.FORWARD_HEAD, Side.LEFT, PostureSeverity.SEVERE, False),
    ],
)
def test_a_shoulder_hitches_where_that_was_found_of_it(
    finding: PostureKind, side: Side, severity: PostureSeverity, *, found: bool
) -> None:
    seen = PostureRecorded(
        finding_id=UUID(int=33), finding=finding, side=side, severity=severity, observer_id=RATER
    )
    assert hitches(dsl.Scenario(MEASUREMENTS, (seen,)).state, Side.LEFT) is found


@pytest.mark.parametrize(("left", "larger"), [(1.1, Side.LEFT), (0.9, Side.RIGHT), (1, Side.LEFT)])
def test_without_a_side_at_risk_the_larger_arm_stands_against_the_smaller(
    left: float, larger: Side
) -> None:
    """Of two alike the left one is named, as every time."""
    (found,) = compare_arms(circumferences(1, left=left), None, frozenset())
    assert found.side is larger
    assert (found.percent or 0) >= 0


@pytest.mark.parametrize(("weeks", "late"), [(10, False), (20, True)])
def test_swelling_beyond_three_months_after_the_operation_is_said_to_be_so(
    built: Built, weeks: int, *, late: bool
) -> None:
    """Specht 2013. An operation without a date tells nothing of the months."""
    client_id = open_client(built)
    day = clock.now().date() - timedelta(weeks=weeks)
    dated = Operation(id=uuid4(), kind=OperationKind.AXILLARY_DISSECTION, side=Side.LEFT, on=day)
    undated = Operation(id=uuid4(), kind=OperationKind.LUMPECTOMY, side=Side.LEFT)
    tell(built, client_id, reviewed(operations=(dated, undated)))
    tell(built, client_id, circumferences(1, left=1.06))
    ((_, found),) = circumferences_evaluated(client_id)
    assert [("Beyond 3 months" in one.text) for one in found.reasons] == [late]


def test_arms_are_compared_with_the_latest_baseline_before_and_with_no_other_set(
    built: Built,
) -> None:
    client_id = open_client(built)
    day = clock.now().date() - timedelta(weeks=20)
    nodes = Operation(id=uuid4(), kind=OperationKind.AXILLARY_DISSECTION, side=Side.LEFT, on=day)
    tell(built, client_id, reviewed(operations=(nodes,)))
    sets = [
        circumferences(1, left=1.5),
        circumferences(2, baseline=True),
        circumferences(3, left=1.2),
        circumferences(4, left=1.1),
        circumferences(5, left=1.4, baseline=True),
    ]
    for days, one in zip((50, 40, 30, 20, 10), sets, strict=True):
        tell(built, client_id, DatedEvent(one, clock.now() - timedelta(days=days)))
    found: dict[int, Any] = {
        one.measured.circumferences_id.int: (
            str(said.comparisons[0].basis),
            said.comparisons[0].percent,
        )
        for one, said in circumferences_evaluated(client_id)
    }
    assert found[1] == ("between_arms", pytest.approx(50))
    assert found[2] == ("between_arms", pytest.approx(0))
    assert found[4] == ("relative_volume_change", pytest.approx(10))
    assert found[5] == ("relative_volume_change", pytest.approx(40)), "against itself it were 0"


def test_what_is_shown_of_arms_has_one_decimal(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    sent = {"left": [16.11, 18.27], "right": [16.0, 18.0], "interval_cm": 4}
    (shown,) = ok(api.post(f"clients/{client_id}/circumferences", sent), 201)["comparisons"]
    numbers = [shown[name] for name in ("percent", "millilitres", "centimetres")]
    # Cones of 94.19 and 92.06 mL: 2.3 % and 2.1 mL more, 0.27 cm at the greatest.
    assert numbers == [2.3, 2.1, 0.3]


@pytest.mark.parametrize(
    ("movement", "side", "marks"),
    [
        (Movement.SHOULDER_ABDUCTION, Side.RIGHT, 1),
        (Movement.SHOULDER_ABDUCTION, Side.LEFT, 0),
        (Movement.SHOULDER_FLEXION, Side.RIGHT, 0),
    ],
)
def test_a_chart_marks_the_discharges_of_its_movement_on_its_side(
    built: Built, movement: Movement, side: Side, marks: int
) -> None:
    client_id = open_client(built)
    discharged(built, client_id)
    assert len(reading_series(client_id, movement, side, MotionType.ACTIVE).discharged) == marks


def test_arms_measured_years_back_are_confirmed_first(built: Built) -> None:
    path, api = f"clients/{open_client(built)}/circumferences", built.api(Role.PRACTITIONER)
    sent = {"left": ARM, "right": ARM, "interval_cm": 4, "occurred_at": "2019-05-01T12:00:00Z"}
    problem = refused(api.post(path, sent), 400, "unlikely_day")
    assert [one["field"] for one in problem["errors"]] == ["occurred_at"]
    ok(api.post(path, {**sent, "confirmed_occurred_at": True}), 201)

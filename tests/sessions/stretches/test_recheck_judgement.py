"""What a re-check is judged by: posture, pain and range against the discharge, grade by grade."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from itertools import product
from typing import Any
from uuid import UUID

import pytest

from clients.permissions.domain.stretch import StretchTag
from practice.core.reasons import Rejected
from practice.core.terms import BodyPosition, Instrument, MotionType, Region, Side, Technique
from sessions.catalogue.domain.terms import Dose, PostureKind
from sessions.measurements.domain.comparison import ComparableReading
from sessions.measurements.domain.events import PostureRecorded, PostureSeverity
from sessions.measurements.domain.state import PostureFindingState
from sessions.stretches.domain.events import (
    PostureReference,
    RecheckMaintained,
    RecheckRegressed,
    Reference,
    StretchDischarged,
    StretchResumed,
)
from sessions.stretches.domain.goal_progress import goal_standings
from sessions.stretches.domain.prescribing import (
    CatalogueFacts,
    prescribing_warnings,
    standing_prescription,
)
from sessions.stretches.domain.recheck_dates import RecheckPlan
from sessions.stretches.domain.recheck_evaluation import (
    RecheckEvidence,
    evaluate_pain,
    evaluate_posture,
    evaluate_reading,
    evaluate_recheck,
    pain_grade,
)
from tests import dsl
from tests.sessions.shipped import DOSES, MEASUREMENT, RECHECKS
from tests.sessions.stretches.examples import (
    ABDUCTION,
    ANNA,
    BEN,
    EVERY_DAY,
    Story,
    at,
    content,
)

DAY = date(2026, 3, 2)
TWO_MONTHS = date(2026, 5, 2)
FINDING = PostureKind.ROUNDED_SHOULDERS
GRADES = tuple(PostureSeverity)  # from none to severe


def posture(severity: PostureSeverity, day: date = TWO_MONTHS) -> PostureFindingState:
    found = PostureRecorded(
        finding_id=UUID(int=1), finding=FINDING, severity=severity, observer_id=BEN, side=Side.BOTH
    )
    return PostureFindingState(occurred_at=at(day), recorded_at=at(day), version=1, found=found)


def asked(pain: int | None, **changes: Any) -> ComparableReading:
    values: dict[str, Any] = {
        "reading_id": UUID(int=2),
        "occurred_at": at(TWO_MONTHS),
        "recorded_at": at(TWO_MONTHS),
        "version": 1,
        "session_id": None,
        "movement": ABDUCTION,
        "side": Side.RIGHT,
        "motion": MotionType.ACTIVE,
        "degrees": 170,
        "position": BodyPosition.SITTING,
        "instrument": Instrument.GONIOMETER,
        "rater_id": ANNA,
        "assisted": False,
        "pain": pain,
    }
    return ComparableReading(**{**values, **changes})


def reference(instrument: Instrument = Instrument.GONIOMETER) -> Reference:
    return Reference(
        reading_id=UUID(int=3),
        movement=ABDUCTION,
        side=Side.RIGHT,
        motion=MotionType.ACTIVE,
        degrees=180,
        instrument=instrument,
        rater_id=ANNA,
        position=BodyPosition.SITTING,
        assisted=False,
        at_goal=True,
    )


@pytest.mark.parametrize(("before", "now"), list(product(GRADES, GRADES)))
def test_posture_is_lost_only_where_it_is_worse_than_at_discharge(
    before: PostureSeverity, now: PostureSeverity
) -> None:
    """Unchanged or better is held, whatever the grade."""
    reference = PostureReference(
        finding=FINDING, severity=before, side=Side.BOTH, finding_id=UUID(int=4)
    )
    found = evaluate_posture(reference, posture(now))
    assert found.worse is (GRADES.index(now) > GRADES.index(before))


@pytest.mark.parametrize(
    ("severity", "outcome"),
    [
        (PostureSeverity.NONE, [RecheckMaintained]),
        (PostureSeverity.MILD, [RecheckMaintained]),
        (PostureSeverity.MODERATE, [RecheckRegressed, StretchResumed]),
    ],
)
def test_unchanged_posture_holds_a_re_check_and_worse_posture_loses_it(
    severity: PostureSeverity, outcome: list[type]
) -> None:
    """Discharged with a mild finding, by the practitioner's reason."""
    story = Story()

    def seen(number: int, grade: PostureSeverity, day: date, hour: int) -> list:
        found = PostureRecorded(
            finding_id=UUID(int=number), finding=FINDING, severity=grade, observer_id=BEN
        )
        return story.tell(found, at(day, hour))

    key = story.prescribe(DAY - timedelta(days=30), content={"movements": ()}, findings=(FINDING,))
    story.start(key, DAY - timedelta(days=30))
    seen(1, PostureSeverity.MILD, DAY, 17)
    story.discharge(key, DAY, reason="As good as it gets.")
    assert [type(one) for one in seen(2, severity, TWO_MONTHS, 18)] == outcome


@pytest.mark.parametrize(
    ("pain", "grade"), [(0, 0), (1, 1), (3, 1), (4, 2), (6, 2), (7, 3), (10, 3)]
)
def test_pain_is_none_mild_moderate_or_severe(pain: int, grade: int) -> None:
    """Common practice: 1 to 3 mild, 4 to 6 moderate, 7 to 10 severe."""
    assert pain_grade(pain) == grade


@pytest.mark.parametrize(
    ("before", "now", "worse"),
    [
        (0, 0, False),
        (0, 1, True),
        (1, 3, False),
        (3, 4, True),
        (4, 6, False),
        (6, 7, True),
        (7, 10, False),
        (7, 2, False),
    ],
)
def test_pain_is_worse_where_it_is_of_a_higher_grade(before: int, now: int, *, worse: bool) -> None:
    found = evaluate_pain(before, asked(now))
    assert found is not None
    assert found.worse is worse
    assert evaluate_pain(before, asked(None)) is None, "not asked is no answer"


@pytest.mark.parametrize(
    ("now", "regressed", "complete"), [(0, False, True), (2, True, True), (None, False, False)]
)
def test_worse_pain_alone_loses_a_re_check_and_pain_not_asked_leaves_it_open(
    now: int | None, *, regressed: bool, complete: bool
) -> None:
    discharge = StretchDischarged(
        prescription_id=UUID(int=5),
        facility_id=UUID(int=6),
        zone=EVERY_DAY.zone,
        discharged_on=DAY,
        references=(),
        postures=(),
        pain=0,
        pain_reading_id=UUID(int=7),
        planned=(),
        at_goal=True,
        intervals=(),
        then_every=12,
        lead_days=14,
        policy_revision=1,
    )
    evidence = RecheckEvidence([asked(now)], [])
    found = evaluate_recheck(discharge, Side.RIGHT, evidence, MEASUREMENT)
    assert (found.regressed, found.complete) == (regressed, complete)


@pytest.mark.parametrize(
    ("instrument", "judged"), [(Instrument.GONIOMETER, True), (Instrument.ESTIMATE, False)]
)
def test_an_instrument_without_a_measurement_error_is_not_judged(
    instrument: Instrument, *, judged: bool
) -> None:
    found = evaluate_reading(reference(instrument), asked(None, instrument=instrument), MEASUREMENT)
    assert (found is not None) is judged


@pytest.mark.parametrize(
    ("last", "done", "following"),
    [
        (12, date(2027, 3, 2), date(2028, 3, 2)),
        (12, date(2027, 2, 20), date(2028, 3, 2)),
        (24, date(2028, 3, 2), date(2029, 3, 2)),
        # A reading that does the one of the year already makes it fall away.
        (12, date(2028, 2, 16), date(2028, 3, 2)),
        (12, date(2028, 2, 17), date(2029, 3, 2)),
    ],
)
def test_the_next_re_check_comes_a_year_after_the_last_that_was_planned(
    last: int, done: date, following: date
) -> None:
    plan = RecheckPlan(RECHECKS, EVERY_DAY, dsl.ids())
    found = plan.following(DAY, last, done)
    assert found.due_on == following
    assert found.months == (following.year - DAY.year) * 12


def test_one_that_is_skipped_long_before_its_day_is_not_planned_again() -> None:
    plan = RecheckPlan(RECHECKS, EVERY_DAY, dsl.ids())
    assert plan.following(DAY, 12, DAY).months == 24


def test_posture_that_nobody_looked_at_is_named_as_missing() -> None:
    story = Story()
    key = story.prescribe(DAY, content={"movements": ()}, findings=(FINDING,))
    now = datetime.combine(DAY, datetime.max.time(), tzinfo=at(DAY).tzinfo)

    def missing() -> list[str]:
        found = goal_standings(
            story.programme.prescriptions[key], story.motion, lambda *_: None, MEASUREMENT, now
        )
        return found.missing

    assert missing() == ["rounded shoulders"]
    story.events.append((posture(PostureSeverity.NONE).found, at(DAY)))
    assert missing() == []


def test_a_discharge_stands_on_active_unassisted_readings_alone() -> None:
    """So what is like one of them is so too: only that says whether range was lost since."""
    story = Story()
    key = story.prescribe(DAY - timedelta(days=30))
    story.start(key, DAY - timedelta(days=30))
    story.measure(DAY, 180, hour=16)
    story.measure(DAY, 190, hour=17, motion=MotionType.PASSIVE)
    story.measure(DAY, 190, hour=17, assisted=True)
    (reference,) = story.discharge(key, DAY).references
    assert (reference.motion, reference.assisted) == (MotionType.ACTIVE, False)
    assert reference.degrees == 180


@pytest.mark.parametrize(
    ("tag", "warned"),
    [
        (StretchTag.PATTERN, True),
        (StretchTag.PREPARATION, False),
        (StretchTag.WALKING, False),
    ],
)
def test_no_dose_is_unusual_for_preparation_and_walking(tag: StretchTag, *, warned: bool) -> None:
    given = Dose(technique=Technique.PASSIVE, repetitions=3, hold_seconds=400)
    facts = CatalogueFacts(content(tags=(tag,), region=Region.LEG), 1, DOSES)
    assert bool(prescribing_warnings((given,), facts)) is warned


def test_a_stretch_that_is_not_the_clients_is_not_found() -> None:
    story = Story()
    key = story.prescribe(DAY)
    assert standing_prescription(story.programme, key).prescribed.prescription_id == key
    with pytest.raises(Rejected) as caught:
        standing_prescription(story.programme, UUID(int=404))
    assert caught.value.status == 404

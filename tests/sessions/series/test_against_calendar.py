"""What the headline of a series counts: closed days, other hours, public holidays."""

from __future__ import annotations

import pytest

from practice.core.reasons import Reason
from sessions.series.domain.answers import Occurrence, OccurrenceResult, counts_against_calendar
from tests.dsl import NOW

CLOSED, OUTSIDE, HOLIDAYS = "on_closed_days", "outside_working_hours", "on_public_holidays"


def reasons(*codes: str) -> tuple[Reason, ...]:
    return tuple(Reason(code=one, text="said in full", source="a test") for one in codes)


def counted(*found: Occurrence) -> list[str]:
    return [name for name, number in counts_against_calendar(found).items() for _ in range(number)]


def one(
    *warned: str,
    overruled: tuple[str, ...] = (),
    result: OccurrenceResult = OccurrenceResult.BOOKED,
) -> Occurrence:
    return Occurrence(
        result=result,
        starts_at=NOW,
        zone="UTC",
        warnings=reasons(*warned),
        closed=reasons(*overruled),
    )


@pytest.mark.parametrize(
    ("code", "names"),
    [
        ("facility_closed", [CLOSED]),
        ("outside_working_hours", [OUTSIDE]),
        ("on_public_holiday", [HOLIDAYS]),
        ("closed_day", [CLOSED]),
        ("closed_for_a_time", [CLOSED]),
        ("public_holiday", [CLOSED, HOLIDAYS]),
        ("practitioner_absent", [OUTSIDE]),
        ("no_authorization", []),
    ],
)
def test_each_is_counted_whether_warned_of_or_overruled(code: str, names: list[str]) -> None:
    assert counted(one(code)) == names
    assert counted(one(overruled=(code,))) == names


def test_each_occurrence_counts_once_in_a_number_and_only_where_it_stands() -> None:
    assert counted(one("closed_day", "facility_closed")) == [CLOSED]
    assert counted(one("facility_closed"), one("facility_closed")) == [CLOSED] * 2
    assert counted(one("facility_closed", result=OccurrenceResult.MOVED)) == [CLOSED]
    for result in (OccurrenceResult.REFUSED, OccurrenceResult.LEFT, OccurrenceResult.UNCHANGED):
        assert counted(one("facility_closed", result=result)) == []

"""A progress note comes due: its clinician is told once, the owner where it is overdue."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from typing import Any

import pytest
from msgspec import structs

from clients.reminders.domain.neutral import clinical_words
from practice.clock import clock
from practice.core.terms import Role
from tests.billing.practice_rows import FIRST, note_on, sign
from tests.billing.progress_notes.test_http import asks, record
from tests.billing.world import World
from tests.builders import ok
from tests.clients.reminders.given import of_kind, rule, tick

pytestmark = pytest.mark.django_db
RULE = {"treatment_days": 4, "warn_treatment_days": 1, "source": "contract of 2026-01-04"}


@pytest.fixture
def world(db: None) -> World:
    made = World()
    asks(made, RULE)
    made.authorize()
    return made


def evening(number: int) -> datetime:
    """The evening of the day ``number`` days after the first."""
    return datetime.combine(FIRST + timedelta(days=number), time(22), UTC)


def treated(world: World, *numbers: int) -> None:
    """Sessions signed on their own day by the physical therapist, and what is due by then."""
    paula = world.built.staff[Role.PRACTITIONER].practitioner_id
    for number in numbers:
        with clock.at(evening(number)):
            sign(world.client_id, structs.replace(note_on(number), practitioner_id=paula))
        tick(evening(number))


def told(kind: str = "due") -> list[tuple[str, str]]:
    return [(row.addressee, row.status) for row in of_kind(f"progress_note_{kind}")]


def test_the_clinician_is_told_once_before_it_is_due(world: World) -> None:
    treated(world, 0, 1)
    assert told() == []
    treated(world, 2)
    assert told() == [("practitioner", "listed")]
    treated(world, 3, 4)
    (row,) = of_kind("progress_note_due")
    assert row.practitioner_id == world.built.staff[Role.PRACTITIONER].practitioner_id
    assert row.told == "A progress note for Lakeshore is due by treatment day 4; 3 are over."
    assert not clinical_words(row.told)
    shown = ok(world.paula.get("reminders"))["results"]
    assert [one["kind"] for one in shown] == ["progress_note_due"]


def test_the_owner_is_told_the_day_after_it_was_due(world: World) -> None:
    treated(world, 0, 1, 2, 3)
    assert told("overdue") == []
    tick(evening(4) - timedelta(hours=10))
    assert told("overdue") == []
    tick(evening(4))
    assert told("overdue") == [("owner", "listed")]
    (row,) = of_kind("progress_note_overdue")
    assert f"was due by {FIRST + timedelta(days=3)}" in row.told
    treated(world, 5)
    assert len(told("overdue")) == 1


def test_written_in_time_it_is_off_the_list_and_nobody_hears_of_it(world: World) -> None:
    treated(world, 0, 1, 2, 3)
    with clock.at(evening(3)):
        record(world, 3)
    tick(evening(3) + timedelta(minutes=16))
    assert told() == [("practitioner", "not_wanted")]
    tick(evening(6))
    assert told("overdue") == []


def test_taken_back_it_is_told_of_again_and_the_next_period_is_an_occasion_of_its_own(
    world: World,
) -> None:
    treated(world, 0, 1, 2)
    with clock.at(evening(2)):
        made = record(world, 2)
    tick(evening(3))
    assert told() == [("practitioner", "not_wanted")]
    treated(world, 4, 5, 6)
    assert told()[1:] == [("practitioner", "listed")]
    with clock.at(evening(6)):
        wrong = {"reason": "the other client's"}
        ok(world.paula.post(f"progress-notes/{made['id']}/in-error", wrong))
    tick(evening(8))
    assert told("overdue") == [("owner", "listed")]


def test_by_calendar_days_it_is_waited_for(world: World) -> None:
    asks(world, {**RULE, "calendar_days": 20, "warn_calendar_days": 5})
    treated(world, 0)
    tick(evening(13))
    assert told() == []
    tick(evening(14))
    assert told() == [("practitioner", "listed")]
    tick(evening(20))
    assert told("overdue") == [("owner", "listed")]


@pytest.mark.parametrize("off", ["by the practice", "by the payer", "self-pay", "voided"])
def test_where_nobody_asks_nobody_is_told(world: World, off: str) -> None:
    if off == "by the practice":
        rule("progress_note_due", is_on=False)
        rule("progress_note_overdue", is_on=False)
    elif off == "by the payer":
        asks(world, None)
    elif off == "self-pay":
        said: dict[str, Any] = {"starts_on": FIRST.isoformat(), "reason": "said so"}
        ok(world.desk.post(f"clients/{world.client_id}/self-pay", said), 201)
    else:
        (row,) = ok(world.desk.get("authorizations"))["results"]
        path = f"authorizations/{row['id']}/voiding"
        ok(world.billing.post(path, {"reason": "another client's"}))
    treated(world, 0, 1, 2, 3)
    tick(evening(6))
    assert told() == told("overdue") == []

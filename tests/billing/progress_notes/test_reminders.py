"""A progress note comes due: its clinician is told once, the owner where it is overdue."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
from msgspec import structs

from clients.reminders.domain.neutral import clinical_words
from practice.clock import clock
from practice.core.terms import Role
from practice.people_and_places.models.practitioners import Practitioner
from tests.billing.practice_rows import FIRST, note_on, sign
from tests.billing.progress_notes.test_http import asks, path
from tests.billing.world import World
from tests.builders import Api, ok
from tests.clients.reminders.given import of_kind, rule, tick

pytestmark = pytest.mark.django_db
TOMORROW = clock.now().date() + timedelta(days=1)
RULE = {"treatment_days": 4, "warn_treatment_days": 1, "source": "contract of 2026-01-04"}


@pytest.fixture
def world(db: None) -> World:
    made = World()
    asks(made, RULE)
    made.authorize(starts_on=day(0).isoformat(), ends_on=day(60).isoformat())
    return made


def day(number: int) -> date:
    """The day ``number`` days after tomorrow: a record is never written back in time."""
    return TOMORROW + timedelta(days=number)


def evening(number: int) -> datetime:
    """In the evening of that day."""
    return datetime.combine(day(number), time(22), UTC)


def treated(world: World, *numbers: int) -> None:
    """Sessions signed on their own day by the physical therapist, and what is due by then."""
    clinician = world.built.staff[Role.PRACTITIONER].practitioner_id
    for number in numbers:
        note, later = note_on(0), day(number) - FIRST
        moved = structs.replace(
            note,
            practitioner_id=clinician,
            local_date=day(number),
            started_at=note.started_at + later,
            ended_at=note.ended_at + later,
        )
        now = evening(number)
        with clock.at(now):
            sign(world.client_id, moved)
        tick(now)


def paula(world: World) -> Api:
    """Signed in again: days have gone by."""
    return world.built.api(Role.PRACTITIONER)


def wrote(world: World, until: int) -> dict[str, Any]:
    """The clinician writes the note of a period on its last evening, and says so."""
    with clock.at(evening(until)):
        body = {"covers_until": day(until).isoformat(), "kept_as": "paper"}
        made: dict[str, Any] = ok(paula(world).post(path(world), body), 201)
    return made


def told(kind: str = "due") -> list[tuple[str, str]]:
    return [(row.addressee, row.status) for row in of_kind(f"progress_note_{kind}")]


def test_who_has_left_is_told_nothing(world: World) -> None:
    """The owner's list has it; the due note is nobody's who cannot write it any more."""
    treated(world, 0, 1)
    Practitioner.objects.update(is_active=False)
    treated(world, 2)
    (row,) = of_kind("progress_note_due")
    assert row.practitioner_id is None
    assert [one["kind"] for one in ok(world.owner.get("reminders"))["results"]] == [
        "progress_note_due"
    ]


def test_the_clinician_is_told_once_before_it_is_due(world: World) -> None:
    treated(world, 0, 1)
    assert told() == []
    treated(world, 2)
    assert told() == [("practitioner", "listed")]
    treated(world, 3, 4)
    (row,) = of_kind("progress_note_due")
    assert row.practitioner_id == world.built.staff[Role.PRACTITIONER].practitioner_id
    assert row.told == "A progress note for Lakeshore is due by visit day 4; 3 are over."
    assert not clinical_words(row.told)
    shown = ok(world.paula.get("reminders"))["results"]
    assert [one["kind"] for one in shown] == ["progress_note_due"]


def test_the_owner_is_told_the_day_after_it_was_due(world: World) -> None:
    treated(world, 0, 1, 2, 3)
    assert told("overdue") == []
    tick(evening(4) - timedelta(hours=14))
    assert told("overdue") == []
    tick(evening(4))
    assert told("overdue") == [("owner", "listed")]
    (row,) = of_kind("progress_note_overdue")
    assert f"was due by {day(3)}" in row.told
    treated(world, 5)
    assert len(told("overdue")) == 1


def test_written_in_time_it_is_off_the_list_and_nobody_hears_of_it(world: World) -> None:
    treated(world, 0, 1, 2, 3)
    wrote(world, 3)
    tick(evening(3) + timedelta(minutes=16))
    assert told() == [("practitioner", "not_wanted")]
    tick(evening(6))
    assert told("overdue") == []


def test_taken_back_it_is_told_of_again_and_the_next_period_is_an_occasion_of_its_own(
    world: World,
) -> None:
    treated(world, 0, 1, 2)
    made = wrote(world, 2)
    tick(evening(3))
    assert told() == [("practitioner", "not_wanted")]
    treated(world, 4, 5, 6)
    assert told()[1:] == [("practitioner", "listed")]
    with clock.at(evening(6)):
        wrong = {"reason": "the other client's"}
        ok(paula(world).post(f"progress-notes/{made['id']}/in-error", wrong))
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
        said: dict[str, Any] = {"starts_on": day(0).isoformat(), "reason": "said so"}
        ok(world.desk.post(f"clients/{world.client_id}/self-pay", said), 201)
    else:
        (row,) = ok(world.desk.get("authorizations"))["results"]
        voiding = f"authorizations/{row['id']}/voiding"
        ok(world.billing.post(voiding, {"reason": "another client's"}))
    treated(world, 0, 1, 2, 3)
    tick(evening(6))
    assert told() == told("overdue") == []

"""What the events of a unit of work plan is planned at its end, all at once."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress

import pytest
from django.db import connection, reset_queries
from django.test.utils import CaptureQueriesContext

from practice.core.appspec import installed
from practice.core.decisions import Job
from practice.core.events import RecordedEvent
from practice.jobs.models import ScheduledJob
from practice.jobs.planning import write_jobs
from practice.work.unit_of_work import unit_of_work
from tests.dsl import DESK
from tests.eventstore.toy import SHELF, client, put
from tests.eventstore.toy_jobs import install_toy_jobs

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def steps(monkeypatch: pytest.MonkeyPatch) -> list[Sequence[RecordedEvent]]:
    """A job for each event of the toy, and what the step was given each time."""
    install_toy_jobs(monkeypatch)
    given: list[Sequence[RecordedEvent]] = []

    def step(events: Sequence[RecordedEvent]) -> None:
        given.append(events)
        write_jobs([Job("toy", one.stream, occasion=f"v{one.version}") for one in events])

    monkeypatch.setattr(installed, "after_append", [step])
    return given


def test_however_many_appends_it_is_one_plan(steps: list[Sequence[RecordedEvent]]) -> None:
    one, other = client(), client()
    steps.clear()
    ScheduledJob.objects.all().delete()
    reset_queries()  # The log of a long run is full, and then nothing is new in it.
    with (
        CaptureQueriesContext(connection) as heard,
        unit_of_work(actor=DESK, request_id="unit") as uow,
    ):
        uow.lock(one, other)
        for number in range(6):
            uow.execute(one if number % 2 else other, (SHELF,), put(f"cup {number}"))
    assert [len(events) for events in steps] == [6]
    assert ScheduledJob.objects.count() == 6
    table = ScheduledJob._meta.db_table
    assert sum(f'INTO "{table}"' in one["sql"] for one in heard.captured_queries) == 1


def test_what_was_refused_plans_nothing(steps: list[Sequence[RecordedEvent]]) -> None:
    one = client()
    steps.clear()
    with suppress(OSError), unit_of_work(actor=DESK, request_id="unit") as uow:
        uow.execute(one, (SHELF,), put("cup"))
        raise OSError("away")
    assert steps == []


def test_what_a_record_had_planned_is_cleared_when_it_is_closed_in_the_same_unit(
    steps: list[Sequence[RecordedEvent]],
) -> None:
    one = client()
    ScheduledJob.objects.all().delete()
    with unit_of_work(actor=DESK, request_id="unit") as uow:
        uow.execute(one, (SHELF,), put("cup"))
        before = uow.version(one)
        uow.close_stream(one, (SHELF,), put("closing"))
    states = dict(ScheduledJob.objects.values_list("occasion", "status"))
    assert states == {f"v{before}": "withdrawn", f"v{before + 1}": "waiting"}

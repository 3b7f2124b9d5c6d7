"""Comparing the read tables with the log while people write: no false alarm."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from typing import Any
from uuid import UUID

import pytest
from django.db import connection, connections

from practice.audit import rebuild
from practice.clock import clock
from practice.core.terms import Role
from practice.eventstore.snapshot import snapshot
from practice.jobs.models import LongTask
from practice.jobs.services import run_due_jobs
from practice.policy.models import PracticeSetting
from sessions.measurements.models import Reading
from tests.builders import Built, build_practice, ok, refused, token_for
from tests.harness.furnishing import READING
from tests.harness.table import FaultRow, keep
from tests.sessions.people import open_client

pytestmark = [pytest.mark.django_db(transaction=True)]
WRITERS, ROUNDS, CLIENTS = 4, 20, 8
SECONDS = 60
"""So long rounds go on until enough was written meanwhile."""


@contextmanager
def writing(built: Built, clients: list[UUID]) -> Iterator[list[int]]:
    """Practitioners measure, over and over, while the block runs; how often each did."""
    stop, done = threading.Event(), [0] * WRITERS
    token_for(built.staff[Role.PRACTITIONER])

    def write(number: int) -> None:
        api = built.api(Role.PRACTITIONER)
        try:
            while not stop.is_set():
                client = clients[(number + done[number]) % len(clients)]
                ok(api.post(f"clients/{client}/range-of-motion", READING | {"degrees": 120}), 201)
                done[number] += 1
        finally:
            connections.close_all()

    writers = [threading.Thread(target=write, args=(number,)) for number in range(WRITERS)]
    for one in writers:
        one.start()
    try:
        yield done
    finally:
        stop.set()
        for one in writers:
            one.join()


@pytest.mark.postgresql
def test_people_who_write_meanwhile_are_no_difference() -> None:
    built = build_practice()
    clients = [open_client(built) for _ in range(CLIENTS)]
    found: list[list[str]] = []
    end = time.monotonic() + SECONDS
    with writing(built, clients) as done:
        while len(found) < ROUNDS or (sum(done) <= ROUNDS and time.monotonic() < end):
            found.append(rebuild.compare().differences)
    rounds = len(found)
    how = f"{WRITERS} writers meanwhile; false alarms: {sum(map(len, found))}"
    keep(FaultRow("comparison while people work", how, rounds, sum(done), None, None, None))
    assert found == [[]] * rounds
    assert sum(done) > ROUNDS, "hardly anything was written: this proves little"


def measured_elsewhere(built: Built, client: UUID) -> None:
    """Somebody else measures, over a connection of their own, and is done."""

    def measure() -> None:
        api = built.api(Role.PRACTITIONER)
        ok(api.post(f"clients/{client}/range-of-motion", READING | {"degrees": 120}), 201)
        connections.close_all()

    writer = threading.Thread(target=measure)
    writer.start()
    writer.join()


def compared_while_somebody_measures(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The differences where a reading is written after the events were read and before the rows
    are."""
    built, read = build_practice(), rebuild.read_streams
    client = open_client(built)

    def read_streams(heads: dict[UUID, int]) -> rebuild.ReadableStreams:
        found = read(heads)
        if heads:
            measured_elsewhere(built, client)
        return found

    monkeypatch.setattr(rebuild, "read_streams", read_streams)
    found = rebuild.compare().differences
    assert Reading.objects.count() == 1
    return found


@pytest.mark.postgresql
def test_what_is_written_between_the_events_and_the_rows_is_no_difference(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert compared_while_somebody_measures(monkeypatch) == []


@pytest.mark.postgresql
def test_without_the_snapshot_writers_look_like_damage(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rebuild, "snapshot", nullcontext)
    (one,) = compared_while_somebody_measures(monkeypatch)
    assert one.endswith("not in the log")


def test_a_snapshot_holds_up_no_writer_and_sees_nothing_new() -> None:
    built = build_practice()
    client = open_client(built)
    with snapshot():
        before = Reading.objects.count()
        measured_elsewhere(built, client)
        assert Reading.objects.count() == before
    assert Reading.objects.count() == before + 1
    assert connection.vendor != "sqlite" or connection.transaction_mode == "IMMEDIATE"


def test_every_stream_is_compared_once_in_batches(monkeypatch: pytest.MonkeyPatch) -> None:
    built = build_practice()
    clients = sorted(open_client(built) for _ in range(5))
    monkeypatch.setattr(rebuild, "BATCH_STREAMS", 2)
    reached: UUID | None = None
    seen: list[int] = []
    while True:
        part, reached = rebuild.compare_batch(reached)
        seen.append(part.streams)
        if reached is None:
            break
    assert (seen, len(clients)) == ([2, 2, 1, 0], 5)
    assert rebuild.compare().streams == 5


def limit_of_direct_checks(clients: int) -> None:
    PracticeSetting.objects.filter(key="direct_check_clients").update(value=clients)


def test_a_large_log_is_compared_by_a_job_that_shows_its_progress(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    built = build_practice()
    clients = [open_client(built) for _ in range(3)]
    owner = built.api(Role.OWNER)
    limit_of_direct_checks(3)
    assert ok(owner.get("log/comparison"))["clients"] == 3
    limit_of_direct_checks(2)
    refused(owner.get("log/comparison"), 409, "too_large_to_wait")
    started = ok(owner.post("log/comparisons"), 202)
    assert (started["state"], started["clients"], started["clients_in_all"]) == ("waiting", 0, 3)
    assert ok(owner.post("log/comparisons"), 202)["id"] == started["id"]
    path = f"log/comparisons/{started['id']}"
    ok(built.api(Role.PRACTITIONER).post(f"clients/{clients[0]}/range-of-motion", reading()), 201)
    Reading.objects.update(degrees=1)
    monkeypatch.setattr(rebuild, "BATCH_STREAMS", 1)
    monkeypatch.setattr("practice.audit.comparison_tasks.SLICE_SECONDS", -1.0)
    run_due_jobs(seconds=0.0)
    shown = ok(owner.get(path))
    assert shown["clients"] == 0
    assert one_slice() == 1
    shown = ok(owner.get(path))
    assert (shown["state"], shown["clients"], shown["finished_at"]) == ("running", 1, None)
    with clock.at(clock.now()):
        run_due_jobs()
    shown = ok(owner.get(path))
    assert (shown["state"], shown["clients"], shown["fault_count"]) == ("finished", 3, 1)
    assert shown["faults"][0].endswith("column degrees differs from the log")
    assert ok(owner.post("log/comparisons"), 202)["id"] != started["id"]


def reading() -> dict[str, Any]:
    return READING | {"degrees": 120}


def one_slice() -> int:
    """One slice of the waiting comparison; how many clients it compared."""
    from practice.audit.comparison_tasks import run_comparison
    from practice.jobs.handlers import JobPostponed
    from practice.jobs.models import ScheduledJob

    with pytest.raises(JobPostponed):
        run_comparison(ScheduledJob.objects.get(kind="compare_log"))
    return LongTask.objects.get().done

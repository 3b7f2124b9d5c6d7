"""A rebuild writes what differs from the log, all of it and nothing else."""

from __future__ import annotations

import gc
from collections.abc import Callable
from concurrent.futures import Future
from typing import Any, Self
from uuid import UUID, uuid4

import pytest
from django.db import connection, connections

from clients.identity.models import Client
from practice.audit import rebuild, worker_processes
from practice.audit.worker_processes import in_processes
from practice.core.collector import collector_paused
from tests.builders import Built, build_practice
from tests.sessions.people import registered

database = pytest.mark.django_db(transaction=True)


@pytest.fixture
def built() -> Built:
    return build_practice()


def changed(one: UUID, other: UUID) -> None:
    Client.objects.filter(pk=one).update(given_name="Someone else")


def deleted(one: UUID, other: UUID) -> None:
    Client.objects.filter(pk=one).delete()


def of_nobody(one: UUID, other: UUID) -> None:
    Client.objects.filter(pk=one).update(client_id=uuid4())


def of_the_other(one: UUID, other: UUID) -> None:
    Client.objects.filter(pk=one).update(client_id=other)


def put_in(one: UUID, other: UUID) -> None:
    row = Client.objects.filter(pk=one).values()[0]
    Client.objects.create(**row | {"id": uuid4()})


def put_in_for_nobody(one: UUID, other: UUID) -> None:
    row = Client.objects.filter(pk=one).values()[0]
    Client.objects.create(**row | {"id": uuid4(), "client_id": uuid4()})


@database
@pytest.mark.parametrize("streams", [1, 100])
@pytest.mark.parametrize(
    "damage", [changed, deleted, of_nobody, of_the_other, put_in, put_in_for_nobody]
)
def test_every_kind_of_wrong_row_is_put_right(
    built: Built,
    monkeypatch: pytest.MonkeyPatch,
    damage: Callable[[UUID, UUID], None],
    streams: int,
) -> None:
    monkeypatch.setattr(rebuild, "BATCH_STREAMS", streams)
    one, other = sorted([registered(built), registered(built, name="Ana")])
    before = list(Client.objects.order_by("pk").values())
    for first, second in ((one, other), (other, one)):
        damage(first, second)
        assert rebuild.compare().differences
        assert rebuild.rebuild().differences == []
        assert list(Client.objects.order_by("pk").values()) == before
        assert rebuild.compare().differences == []


@database
def test_rows_that_are_right_are_not_written_again(
    built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    registered(built)
    written: list[Any] = []
    monkeypatch.setattr(
        rebuild, "replace_rows", lambda model, old, new: written.extend([*old, *new])
    )
    assert rebuild.rebuild().rows
    assert written == []


class Others:
    """Stands in for the other processes: they have begun so many pieces and will do no more."""

    begun = 0

    def __init__(self, processes: int, **_: Any) -> None:
        self.processes = processes
        self.submitted = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        return None

    def submit(self, work: Callable[[Any], Any], piece: Any) -> Future[Any]:
        future: Future[Any] = Future()
        self.submitted += 1
        if self.submitted <= self.begun:
            future.set_running_or_notify_cancel()
            future.set_result(("there", piece))
        return future


@pytest.mark.parametrize("begun", [0, 2, 5])
def test_what_others_have_not_begun_is_done_here_and_nothing_twice(
    monkeypatch: pytest.MonkeyPatch, begun: int
) -> None:
    monkeypatch.setattr(Others, "begun", begun)
    monkeypatch.setattr(worker_processes, "ProcessPoolExecutor", Others)
    done = list(in_processes(2, lambda piece: ("here", piece), range(5)))
    assert sorted(done) == sorted(
        [("there", piece) for piece in range(begun)]
        + [("here", piece) for piece in range(begun, 5)]
    )


@database
def test_no_process_begins_with_the_connection_of_another(monkeypatch: pytest.MonkeyPatch) -> None:
    open_then: list[str] = []

    class Forked(Others):
        """Where the other processes come to be: they have what this one has open."""

        def __init__(self, processes: int, **options: Any) -> None:
            super().__init__(processes, **options)
            open_then.extend(one.alias for one in connections.all() if one.connection is not None)

    monkeypatch.setattr(worker_processes, "ProcessPoolExecutor", Forked)
    assert Client.objects.count() == 0
    assert connection.connection is not None
    assert list(in_processes(2, str, range(1))) == ["0"]
    assert open_then == []


def test_one_process_starts_no_other(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(worker_processes, "ProcessPoolExecutor", None)
    assert list(in_processes(1, str, range(3))) == ["0", "1", "2"]


def test_the_collector_waits_within_and_works_again_after() -> None:
    with collector_paused():
        assert not gc.isenabled()
        with collector_paused():
            pass
        assert not gc.isenabled(), "the inner one does not end the outer one"
    assert gc.isenabled()


def test_the_collector_works_again_after_an_error() -> None:
    @collector_paused()
    def fails() -> None:
        raise KeyError

    with pytest.raises(KeyError):
        fails()
    assert gc.isenabled()

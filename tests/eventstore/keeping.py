"""Processes of their own kept states, and failures that a caller swallows."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import Any
from unittest.mock import patch
from uuid import UUID

from django.db import connection, transaction

from practice.core.appspec import installed
from practice.core.decisions import Reactor
from practice.eventstore import guards, store
from practice.eventstore.models import StoredEvent, StreamHead
from practice.work import shared_states, unit_states
from practice.work.kept_states import KeptState, KeptStates, kept_states
from practice.work.unit_of_work import UnitOfWork, unit_of_work
from tests.dsl import DESK
from tests.eventstore.toy import SHELF, CupPut, put


@contextmanager
def process(states: KeptStates) -> Iterator[None]:
    """The block runs as another process would: with its own kept states."""
    before = unit_states.kept_states
    unit_states.kept_states = shared_states.kept_states = states
    try:
        yield
    finally:
        unit_states.kept_states = shared_states.kept_states = before


def restore(one: UUID, version: int) -> None:
    """The stream as a backup had it at a version."""
    with guards.without_guards():
        StoredEvent.objects.filter(stream=one, version__gt=version).delete()
    row = StoredEvent.objects.get(stream=one, version=version)
    StreamHead.objects.filter(stream=one).update(
        version=version, mac=row.mac, recorded_at=row.recorded_at
    )


def key(one: UUID, name: str = SHELF.name) -> tuple[str, UUID, str]:
    return connection.alias, one, name


def kept(one: UUID, name: str = SHELF.name) -> KeptState | None:
    found = kept_states._held.get(key(one, name))
    return found[1] if found else None


def seen(one: UUID, slice_: Any = SHELF) -> Any:
    """The state as a unit of work decides on it."""
    with unit_of_work(actor=DESK, request_id="look") as uow:
        return uow.states(one, (slice_,))[slice_]


def statements(work: Callable[[], Any], word: str) -> int:
    count = 0

    def counting(execute: Any, sql: str, *rest: Any) -> Any:
        nonlocal count
        count += sql.startswith("SELECT") and word in sql
        return execute(sql, *rest)

    with connection.execute_wrapper(counting):
        work()
    return count


def fail_after(one: UUID, uow: UnitOfWork) -> None:
    """An execute that fails once it has written, and a caller that goes on."""
    append = store.append

    def fail(*given: Any) -> None:
        append(*given)
        raise OSError

    with patch.object(store, "append", fail), suppress(OSError):
        uow.execute(one, (SHELF,), put("stored"))


def fail_deciding(one: UUID, uow: UnitOfWork) -> None:
    """A decision that is folded in and then not appended."""

    def reactor_fails(*_: Any) -> Any:
        raise OSError

    before = list(installed.reactors)
    installed.reactors.append(Reactor("fails", (CupPut,), (SHELF,), reactor_fails))
    try:
        with suppress(OSError):
            uow.execute(one, (SHELF,), put("phantom"))
    finally:
        installed.reactors[:] = before


def fail_in_savepoint(one: UUID, uow: UnitOfWork) -> None:
    with suppress(OSError), transaction.atomic():
        uow.execute(one, (SHELF,), put("rolled back"))
        raise OSError


def fail_closing(one: UUID, uow: UnitOfWork) -> None:
    before = list(installed.erasables)

    def fail(client_id: UUID) -> None:
        raise OSError

    installed.erasables.append(fail)
    try:
        with suppress(OSError):
            uow.close_stream(one, (SHELF,), put("phantom"))
    finally:
        installed.erasables[:] = before

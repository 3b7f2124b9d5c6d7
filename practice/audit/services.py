"""Erasure: the closing event, then the key, then the proof that it is gone."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from practice.audit.domain.decisions import (
    close_record,
    order_erasure,
    record_destruction,
    withdraw_order,
)
from practice.audit.domain.state import ERASURE
from practice.audit.selectors import retention_of
from practice.core.appspec import installed
from practice.eventstore.models import StoredEvent, StreamHead
from practice.jobs.models import ScheduledJob
from practice.keys.keystore import KeyDamagedError, keystore
from practice.keys.models import DataKey
from practice.keys.router import keys_alias
from practice.people_and_places.selectors.staff import count_active_owners
from practice.work.unit_of_work import Outcome, UnitOfWork


def erasure_order(uow: UnitOfWork, *, client_id: UUID, command: Mapping[str, Any]) -> Outcome:
    """The owner orders the erasure of a client's record: ``reason``, ``before_retention``.

    Raises Rejected 409 before the retention has passed, unless ``before_retention``.
    """
    uow.lock(client_id)
    retained = retention_of(client_id)
    return uow.execute(
        client_id,
        (ERASURE,),
        lambda states, context: order_erasure(
            states[ERASURE],
            command["reason"],
            context,
            retained=retained,
            before_retention=command.get("before_retention", False),
        ),
    )


def erasure_withdraw(uow: UnitOfWork, *, client_id: UUID) -> Outcome:
    """The order is taken back."""
    return uow.execute(
        client_id, (ERASURE,), lambda states, context: withdraw_order(states[ERASURE], context)
    )


def erasure_approve(uow: UnitOfWork, *, client_id: UUID) -> Outcome:
    """A second person agrees: the record is closed and the key's destruction planned."""
    uow.lock(client_id)
    owners = count_active_owners()
    retained_facts = {
        one.app: one.retain(uow.states(client_id, one.slices)) for one in installed.retained_facts
    }
    return uow.close_stream(
        client_id,
        (ERASURE,),
        lambda states, context: close_record(
            states[ERASURE], retained_facts, owners=owners, context=context
        ),
    )


def living_keys(client_id: UUID, *, before: int) -> list[UUID]:
    """The keys, not destroyed, under which the events of a record before a version lie."""
    events = StoredEvent.objects.filter(stream=client_id, version__lt=before)
    ids = set(events.values_list("key_id", flat=True))
    rows = DataKey.objects.using(keys_alias()).filter(id__in=ids, destroyed_at=None)
    return sorted(rows.values_list("id", flat=True))


def destroy_key(uow: UnitOfWork, job: ScheduledJob) -> None:
    """Destroy the data key of a closed record and record that it is gone. Idempotent.

    Raises KeyDamagedError where a key of the record lives on: the rows of keys were changed.
    """
    client_id = job.subject
    uow.lock(client_id)
    head = StreamHead.objects.get(stream=client_id)
    if head.starts_at_version > 1:
        keystore.destroy(client_id)
        if left := living_keys(client_id, before=head.starts_at_version):
            raise KeyDamagedError(f"the key {left[0]} of the record lives on, not as its client's")
        uow.execute(
            client_id,
            (ERASURE,),
            lambda states, _: record_destruction(states[ERASURE]),
            after_closing=True,
        )

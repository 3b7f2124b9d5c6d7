"""Erasure: the closing event, then the key, then the proof that it is gone."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.db import transaction

from practice.audit.domain.decisions import (
    close_record,
    order_erasure,
    record_destruction,
    withdraw_order,
)
from practice.audit.domain.state import ERASURE
from practice.audit.selectors import retention_of
from practice.core.appspec import installed
from practice.eventstore.models import StreamHead
from practice.jobs.models import ScheduledJob
from practice.keys.deleted import empty_write_ahead_logs
from practice.keys.keystore import keystore
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


def destroy_key(uow: UnitOfWork, job: ScheduledJob) -> None:
    """Destroy the data key of a closed record and record that it is gone. Idempotent."""
    client_id = job.subject
    uow.lock(client_id)
    head = StreamHead.objects.get(stream=client_id)
    if head.starts_at_version > 1:
        keystore.destroy(client_id)
        transaction.on_commit(empty_write_ahead_logs)
        uow.execute(
            client_id,
            (ERASURE,),
            lambda states, _: record_destruction(states[ERASURE]),
            after_closing=True,
        )

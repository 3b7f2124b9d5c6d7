"""Erasure: the closing event, then the list, then the key, then the proof that it is gone."""

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
from practice.audit.domain.events import RecordClosed
from practice.audit.domain.state import ERASURE
from practice.audit.erasure_list import ListedErasure, list_erasure
from practice.audit.selectors import retention_of
from practice.core.appspec import installed
from practice.core.decisions import Actor
from practice.core.terms import Role
from practice.eventstore.models import StoredEvent, StreamHead
from practice.jobs.models import ScheduledJob
from practice.keys.deleted import empty_write_ahead_logs
from practice.keys.keystore import KeyDamagedError, keystore
from practice.keys.models import DataKey
from practice.keys.router import keys_alias
from practice.people_and_places.selectors.staff import count_active_owners
from practice.work.commands import run_command
from practice.work.unit_of_work import Outcome, UnitOfWork
from practice.work.visibility import require_visible


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
    """A second person agrees: the record is closed and the key's destruction planned.

    Raises Rejected 404 for a client whom that person may not see.
    """
    require_visible(uow.actor, client_id)
    uow.lock(client_id)
    owners = count_active_owners()
    retained_facts = _retained_facts(uow, client_id)
    return uow.close_stream(
        client_id,
        (ERASURE,),
        lambda states, context: close_record(
            states[ERASURE], retained_facts, owners=owners, context=context
        ),
    )


def _retained_facts(uow: UnitOfWork, client_id: UUID) -> dict[str, list[dict[str, Any]]]:
    return {
        one.app: one.retain(uow.states(client_id, one.slices)) for one in installed.retained_facts
    }


def apply_erasure(entry: ListedErasure) -> bool:
    """Carry out an erasure of the list that a restored backup has undone; whether it did anything.

    The closing event bears the one who agreed, and the order as the list keeps it.
    """
    head = StreamHead.objects.filter(stream=entry.client_id).first()
    if head is None:
        return False
    actor = Actor(id=entry.approved_by, role=Role.OWNER)
    if head.starts_at_version == 1:
        run_command(actor, "apply-erasures", None, lambda uow: _close_again(uow, entry))
        head.refresh_from_db()
    elif not living_keys(entry.client_id, before=head.starts_at_version):
        return False
    run_command(actor, "apply-erasures", None, lambda uow: destroy_record_key(uow, entry.client_id))
    return True


def _close_again(uow: UnitOfWork, entry: ListedErasure) -> Outcome:
    uow.lock(entry.client_id)
    closing = RecordClosed(
        erasure_id=entry.erasure_id,
        ordered_by=entry.ordered_by,
        retained_facts=_retained_facts(uow, entry.client_id),
        ordered_at=entry.ordered_at,
        retained_until=entry.retained_until,
        before_retention=entry.before_retention,
    )
    return uow.close_stream(entry.client_id, (ERASURE,), lambda _states, _context: [closing])


def living_keys(client_id: UUID, *, before: int) -> list[UUID]:
    """The keys, not destroyed, under which the events of a record before a version lie."""
    events = StoredEvent.objects.filter(stream=client_id, version__lt=before)
    ids = set(events.values_list("key_id", flat=True))
    rows = DataKey.objects.using(keys_alias()).filter(id__in=ids, destroyed_at=None)
    return sorted(rows.values_list("id", flat=True))


def destroy_key(uow: UnitOfWork, job: ScheduledJob) -> None:
    """The job that a closing event plans."""
    destroy_record_key(uow, job.subject)


def destroy_record_key(uow: UnitOfWork, client_id: UUID) -> None:
    """Destroy the data key of a closed record and record that it is gone. Idempotent.

    First the erasure is written into the list outside the database. Raises KeyDamagedError
    where a key of the record lives on: the rows of keys were changed.
    """
    uow.lock(client_id)
    head = StreamHead.objects.get(stream=client_id)
    if head.starts_at_version > 1:
        list_erasure(client_id, uow.states(client_id, (ERASURE,))[ERASURE])
        keystore.destroy(client_id)
        transaction.on_commit(empty_write_ahead_logs)
        if left := living_keys(client_id, before=head.starts_at_version):
            raise KeyDamagedError(f"the key {left[0]} of the record lives on, not as its client's")
        uow.execute(
            client_id,
            (ERASURE,),
            lambda states, _: record_destruction(states[ERASURE]),
            after_closing=True,
        )

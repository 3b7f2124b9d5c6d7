"""Erasure: the closing event, then the key, then the proof that it is gone."""

from __future__ import annotations

from uuid import UUID

from practice.audit.domain.decisions import (
    close_record,
    order_erasure,
    record_destruction,
    withdraw_order,
)
from practice.audit.domain.jobs import KEY_DESTRUCTION
from practice.audit.domain.state import ERASURE
from practice.audit.selectors import RetentionSettings, retention_of
from practice.core.decisions import installed
from practice.eventstore.models import StreamHead
from practice.jobs.handlers import job_handler
from practice.keys.keystore import keystore
from practice.policy.hooks import register_settings
from practice.work.unit_of_work import Outcome, UnitOfWork


def register() -> None:
    """Register the slice and the due plan of erasure; safe to repeat."""
    installed.add_slices(ERASURE)
    register_settings("retention", RetentionSettings)
    if KEY_DESTRUCTION not in installed.job_plans:
        installed.job_plans.append(KEY_DESTRUCTION)


def erasure_order(
    uow: UnitOfWork, *, client_id: UUID, reason: str, before_retention: bool = False
) -> Outcome:
    """The owner orders the erasure of a client's record.

    Raises Rejected 409 before the retention has passed, unless ``before_retention``.
    """
    uow.lock(client_id)
    retained = retention_of(client_id)
    return uow.execute(
        client_id,
        (ERASURE,),
        lambda states, context: order_erasure(
            states[ERASURE],
            reason,
            context,
            retained=retained,
            before_retention=before_retention,
        ),
    )


def erasure_withdraw(uow: UnitOfWork, *, client_id: UUID) -> Outcome:
    """The order is taken back."""
    return uow.execute(
        client_id, (ERASURE,), lambda states, context: withdraw_order(states[ERASURE], context)
    )


def erasure_approve(uow: UnitOfWork, *, client_id: UUID, owners: int) -> Outcome:
    """A second person agrees: the record is closed and the key's destruction planned.

    ``owners`` is how many active owners the practice has.
    """
    uow.lock(client_id)
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


@job_handler("destroy_key")
def destroy_key(uow: UnitOfWork, client_id: UUID, key: str) -> None:
    """Destroy the data key of a closed record and record that it is gone. Idempotent."""
    uow.lock(client_id)
    head = StreamHead.objects.get(stream=client_id)
    if head.starts_at_version > 1:
        keystore.destroy(client_id)
        uow.execute(
            client_id,
            (ERASURE,),
            lambda states, _: record_destruction(states[ERASURE]),
            after_closing=True,
        )

"""Erasure: the closing event, then the key, then the proof that it is gone."""

from __future__ import annotations

from uuid import UUID

from practice.domain.decisions import parts
from practice.domain.erasure import (
    CLOSING,
    DESTRUCTION,
    close_record,
    order_erasure,
    record_destruction,
    withdraw_order,
)
from practice.due.registry import handler
from practice.eventlog.models import StreamHead
from practice.eventlog.runner import Outcome, Work
from practice.keys.keystore import keystore
from practice.selectors.erasure import RetentionSettings, retention_of
from practice.services.hooks import register_settings


def register() -> None:
    """Register the slice and the due plan of erasure; safe to repeat."""
    parts.add_slices(CLOSING)
    register_settings("retention", RetentionSettings)
    if DESTRUCTION not in parts.due_plans:
        parts.due_plans.append(DESTRUCTION)


def erasure_order(
    work: Work, *, client_id: UUID, reason: str, before_retention: bool = False
) -> Outcome:
    """The owner orders the erasure of a client's record.

    Raises Rejected 409 before the retention has passed, unless ``before_retention``.
    """
    work.lock(client_id)
    retained = retention_of(client_id)
    return work.execute(
        client_id,
        (CLOSING,),
        lambda states, context: order_erasure(
            states[CLOSING],
            reason,
            context,
            retained=retained,
            before_retention=before_retention,
        ),
    )


def erasure_withdraw(work: Work, *, client_id: UUID) -> Outcome:
    """The order is taken back."""
    return work.execute(
        client_id, (CLOSING,), lambda states, context: withdraw_order(states[CLOSING], context)
    )


def erasure_agree(work: Work, *, client_id: UUID, owners: int) -> Outcome:
    """A second person agrees: the record is closed and the key's destruction planned.

    ``owners`` is how many active owners the practice has.
    """
    work.lock(client_id)
    survivors = {one.app: one.keep(work.states(client_id, one.slices)) for one in parts.survivors}
    return work.close_stream(
        client_id,
        (CLOSING,),
        lambda states, context: close_record(
            states[CLOSING], survivors, owners=owners, context=context
        ),
    )


@handler("destroy_key")
def destroy_key(work: Work, client_id: UUID, key: str) -> None:
    """Destroy the data key of a closed record and record that it is gone. Idempotent."""
    work.lock(client_id)
    head = StreamHead.objects.get(stream=client_id)
    if head.starts_at_version > 1:
        keystore.destroy(client_id)
        work.execute(
            client_id,
            (CLOSING,),
            lambda states, _: record_destruction(states[CLOSING]),
            after_closing=True,
        )

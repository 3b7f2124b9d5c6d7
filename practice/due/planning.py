"""Writes due rows in the transaction of the events that cause them.

The runner knows no due work: planning is registered as a step after the append, and
what waits for a client as something to be cleared when the record is erased.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from uuid import UUID

from django.db import transaction

from practice.clock import clock
from practice.domain.decisions import Due, parts
from practice.domain.events import Recorded
from practice.due.models import DueItem
from practice.due.waking import wake


def register() -> None:
    """Register the step and the erasable; safe to repeat."""
    if plan_due not in parts.after_append:
        parts.after_append.append(plan_due)
    if withdraw_due not in parts.erasables:
        parts.erasables.append(withdraw_due)


def plan_due(events: Sequence[Recorded]) -> None:
    """Plan and withdraw what the registered plans make of some events."""
    wanted = [
        due
        for recorded in events
        for plan in parts.due_plans
        if isinstance(recorded.data, plan.on)
        for due in plan.plan(recorded)
    ]
    if wanted:
        write_due(wanted)


def write_due(wanted: Iterable[Due]) -> None:
    """Write planned rows and withdraw cancelled ones; the key keeps each occasion single.

    A row that was done is never planned again; one still waiting moves to the new time.
    """
    soon = False
    for due in wanted:
        if due.cancels:
            DueItem.objects.filter(key=due.key, status=DueItem.Status.WAITING).update(
                status=DueItem.Status.WITHDRAWN, claim=None
            )
            continue
        at = due.at or clock.now()
        made, created = DueItem.objects.get_or_create(
            key=due.key, defaults={"kind": due.kind, "subject": due.subject, "due_at": at}
        )
        waits = made.status in (DueItem.Status.WAITING, DueItem.Status.WITHDRAWN)
        if not created and waits:
            DueItem.objects.filter(pk=made.pk).update(
                due_at=at, status=DueItem.Status.WAITING, claim=None
            )
        soon = soon or (waits and at <= clock.now())
    if soon:
        transaction.on_commit(wake)


def withdraw_due(client_id: UUID) -> None:
    """Withdraw everything that waits for a client."""
    DueItem.objects.filter(subject=client_id, status=DueItem.Status.WAITING).update(
        status=DueItem.Status.WITHDRAWN
    )

"""Writes due rows in the transaction of the events that cause them."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import transaction

from practice.clock import clock
from practice.domain.decisions import Due, parts
from practice.domain.events import Recorded
from practice.due.models import DueItem
from practice.due.waking import wake


def plan_due(events: Iterable[Recorded]) -> None:
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

"""Reminders that are decided on together: what is asked of them, read once for all."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final
from uuid import UUID

from clients.identity.models import Client
from clients.reminders.domain.kinds import Question, Wanted
from clients.reminders.hooks import kind_named
from clients.reminders.models import Reminder
from clients.reminders.selectors import failed_addresses
from clients.reminders.services.making import question
from practice.clock import clock
from practice.jobs.models import ScheduledJob

_ENDED: Final = (Reminder.Status.SENT, Reminder.Status.REFUSED)
"""By a server before; only the job was not marked: nothing is decided on."""


@dataclass(frozen=True, kw_only=True)
class Group:
    """What is known of some reminders that are decided on together: their clients, the addresses
    that take none, what each of them asks by its job, and by kind what decides on it.
    ``refused``: addresses that were refused since, as one of them went."""

    now: datetime
    clients: Mapping[UUID, Client]
    failed: Collection[tuple[UUID, str]]
    questions: Mapping[int, Question]
    deciders: Mapping[str, Callable[[Question], Wanted | None]]
    refused: set[tuple[UUID, str]] = field(default_factory=set)


def read_group(jobs: Sequence[ScheduledJob], rows: Mapping[UUID, Reminder]) -> Group:
    """What the decisions of some reminders ask for, read once for all of them; of each kind by
    itself."""
    clients = Client.objects.in_bulk({row.client_id for row in rows.values() if row.client_id})
    now, questions = clock.now(), dict[int, Question]()
    of_kind: defaultdict[str, list[Question]] = defaultdict(list)
    for job in jobs:
        row = rows.get(job.about)
        if row is None or row.client_id is None or row.status in _ENDED:
            continue
        kind = kind_named(row.kind)
        asked = question(
            kind, client_id=row.client_id, about=row.about, occasion=job.occasion, now=now
        )
        questions[job.pk] = asked
        of_kind[row.kind].append(asked)
    return Group(
        now=now,
        clients=clients,
        failed=failed_addresses(clients),
        questions=questions,
        deciders={name: kind_named(name).decider(some) for name, some in of_kind.items()},
    )

"""What is done once a day: the digest outside the database, and sweeping."""

from __future__ import annotations

from datetime import timedelta
from uuid import UUID

from django.conf import settings

from practice.clock import clock
from practice.domain.decisions import Due
from practice.due.models import DueItem
from practice.due.planning import write_due
from practice.due.registry import delivery
from practice.eventlog import idempotency
from practice.eventlog.digest import write_digest
from practice.eventlog.models import StreamHead
from practice.keys.keystore import PRACTICE_SUBJECT
from practice.keys.models import DataKey
from practice.keys.router import keys_alias

KIND = "nightly"
ORPHAN_AFTER = timedelta(days=1)


def plan_nightly() -> None:
    """Plan the work of this UTC day; however many ticks ask, the row is one."""
    now = clock.now()
    key = f"{KIND}:{now.date().isoformat()}"
    if not DueItem.objects.filter(key=key).exists():
        write_due([Due(kind=KIND, key=key, subject=PRACTICE_SUBJECT, at=now)])


@delivery(KIND)
def nightly(subject: UUID, key: str) -> None:
    """Write the digest of all heads, drop answers older than a day and orphaned keys.

    Safe to repeat: the digest of a day is written over by a later one of the same day.
    """
    now = clock.now()
    write_digest(settings.VAR / "digests", now.date())
    idempotency.sweep(now)
    sweep_orphans()


def sweep_orphans() -> int:
    """Drop data keys whose client never came to be: made for a registration that failed.

    A day's grace leaves those alone whose registration is under way.
    """
    old = DataKey.objects.using(keys_alias()).filter(
        created_at__lt=clock.now() - ORPHAN_AFTER, destroyed_at=None
    )
    subjects = set(old.exclude(subject=PRACTICE_SUBJECT).values_list("subject", flat=True))
    known = StreamHead.objects.filter(stream__in=subjects).values_list("stream", flat=True)
    return old.filter(subject__in=subjects - set(known)).delete()[0]

"""What is done once a day: the digest outside the database, and sweeping."""

from __future__ import annotations

from datetime import datetime, timedelta

from practice.clock import clock
from practice.core.decisions import Job
from practice.eventstore.digest import digest_folder, write_digest
from practice.eventstore.models import StoredEvent, StreamHead
from practice.jobs.models import ScheduledJob
from practice.keys.deleted import empty_write_ahead_logs
from practice.keys.keystore import PRACTICE_SUBJECT, UnreadableRecordError, unwrap
from practice.keys.models import DataKey
from practice.keys.router import keys_alias
from practice.work import idempotency

NIGHTLY_JOB = "nightly"
ORPHAN_AFTER = timedelta(days=1)


def nightly_job(now: datetime) -> Job:
    """The work of this UTC day."""
    return Job(NIGHTLY_JOB, PRACTICE_SUBJECT, occasion=now.date().isoformat(), due_at=now)


def nightly(job: ScheduledJob) -> None:
    """Write the digest of all heads, drop answers older than a day and orphaned keys.

    Safe to repeat: the digest of a day is written over by a later one of the same day.
    """
    now = clock.now()
    write_digest(digest_folder(), now.date())
    idempotency.delete_expired(now)
    sweep_orphans()
    empty_write_ahead_logs()


def sweep_orphans() -> int:
    """Drop data keys whose client never came to be: made for a registration that failed.

    A day's grace leaves those alone whose registration is under way.
    """
    old = DataKey.objects.using(keys_alias()).filter(
        created_at__lt=clock.now() - ORPHAN_AFTER, destroyed_at=None
    )
    subjects = set(old.exclude(subject=PRACTICE_SUBJECT).values_list("subject", flat=True))
    known = StreamHead.objects.filter(stream__in=subjects).values_list("stream", flat=True)
    orphans = old.filter(subject__in=subjects - set(known))
    return orphans.filter(pk__in=[row.pk for row in orphans if _is_orphan(row)]).delete()[0]


def _is_orphan(row: DataKey) -> bool:
    """Not a client's key that somebody has put under another name, or whose head is gone."""
    try:
        unwrap(row)
    except UnreadableRecordError:
        return False
    return not StoredEvent.objects.filter(key_id=row.pk).exists()

"""Small things handed to the world outside, several between two commits.

The tries of some are counted in one commit, they go out one after the other, and one commit
says which were taken. A process that dies between the two has counted all that may have come
twice, and each goes again under the same identifier. So that this is never many, nor for long, at
most ``JobKind.together`` are under way, and none is begun after ``UNDER_WAY_SECONDS``: with a
server that takes its time each is written down by itself.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from typing import Final

from celery.exceptions import SoftTimeLimitExceeded
from django.db import transaction

from practice.core.jobs import JobHandover
from practice.jobs.accepted import keep_accepted
from practice.jobs.claims import LeaseLost, finish_all, mark_done, ours_of, renew_leases
from practice.jobs.handlers import JobNotWanted, JobPostponed
from practice.jobs.models import ScheduledJob
from practice.work import request_cache as unit

UNDER_WAY_SECONDS: Final = 0.5
"""So long after the first was begun no other is: what was taken is written down."""


def hand_over(items: Sequence[ScheduledJob], how: JobHandover) -> list[Exception | None]:
    """How each of the first of them ended, None where it was taken and is done. What is behind
    these was not begun: the time was over, or the last one failed.

    Raises whatever stands in the way of them all, SoftTimeLimitExceeded at any time; what was
    taken until then is written down.
    """
    with unit.caching():
        renew_leases(items)
        ways = how.prepare(items)
    ends: list[Exception | None] = []
    try:
        _go(ways, ends)
    finally:
        waiting = [
            item
            for item, way in list(zip(items, ways, strict=True))[len(ends) :]
            if not isinstance(way, Exception)
        ]
        keep_accepted(lambda: _write_down(items, ends, waiting, how))
    return ends


def _go(ways: Sequence[Callable[[], None] | Exception], ends: list[Exception | None]) -> None:
    """Hand over one after the other, and add how each ended. After a failure none is begun: it
    may be the way there that failed, and not the one that goes."""
    latest = time.monotonic() + UNDER_WAY_SECONDS
    for way in ways:
        if isinstance(way, Exception):
            ends.append(way)
            continue
        if ends and time.monotonic() > latest:
            return
        ends.append(InterruptedError())  # Until it is known: it may have been taken.
        try:
            way()
            ends[-1] = None
        except SoftTimeLimitExceeded:
            raise
        except (JobNotWanted, JobPostponed) as reason:
            ends[-1] = reason
        except Exception as error:  # noqa: BLE001  it is tried again, whatever it was
            ends[-1] = error
            return


def _write_down(
    items: Sequence[ScheduledJob],
    ends: list[Exception | None],
    waiting: Sequence[ScheduledJob],
    how: JobHandover,
) -> None:
    """Mark done what was taken; where somebody else has the row by now it is lost to us. Those
    ``waiting`` were counted and not begun."""
    taken = [number for number, end in enumerate(ends) if end is None]
    if not _all_at_once([items[number] for number in taken], how):
        for number in taken:
            if not _by_itself(items[number], how):
                ends[number] = LeaseLost(items[number].key)
    if waiting:
        how.not_begun(waiting)  # Last: it must not run twice.


def _all_at_once(taken: Sequence[ScheduledJob], how: JobHandover) -> bool:
    if len(taken) < 2:
        return not taken
    try:
        with transaction.atomic():
            how.taken(taken)
            finish_all(taken)
    except LeaseLost:
        return False
    return True


def _by_itself(item: ScheduledJob, how: JobHandover) -> bool:
    """Whether the row was still ours. That it was taken is written down in any case: whoever has
    it now must not hand it over again."""
    with transaction.atomic():
        how.taken([item])
        return bool(mark_done(ours_of(item)))

"""What is checked beside the chain: seals, practice rows, answers, working documents, erasures."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, Final

from practice.audit.erasure_list import erasure_faults
from practice.audit.hooks import DOCUMENT_FAULTS
from practice.audit.sealing import PARTS, seal_faults
from practice.eventstore.digest import digest_folder
from practice.jobs.models import ScheduledJob
from practice.jobs.nightly import NIGHTLY_JOB
from practice.keys.keystore import UnreadableRecordError
from practice.people_and_places.token_seals import token_faults
from practice.policy.row_seals import row_faults
from practice.work.idempotency import open_response
from practice.work.models import IdempotencyRecord

Parts = Mapping[str, Mapping[str, Any]]
"""What each digest holds beside the heads, by the name of the digest."""


def answer_faults(_parts: Parts) -> Iterator[str]:
    """Answers kept for repeats that are not as they were given."""
    for stored in IdempotencyRecord.objects.filter(response__isnull=False).iterator():
        try:
            open_response(stored)
        except UnreadableRecordError as error:
            yield f"the answer kept for the key {stored.key!r} of {stored.caller}: {error}"


def document_faults(_parts: Parts) -> Iterator[str]:
    """Working documents that do not open, as the features above find them."""
    for find in DOCUMENT_FAULTS.answers:
        yield from find()


def digest_faults(_parts: Parts) -> Iterator[str]:
    """Digests of the last days that were written and are not there: the newest seven."""
    done = ScheduledJob.objects.filter(kind=NIGHTLY_JOB, status=ScheduledJob.Status.DONE)
    days = [key.rpartition(":")[2] for key in done.values_list("key", flat=True)]
    for day in sorted(days)[-KEPT_DAYS:]:
        if not (digest_folder() / f"{day}.json").exists():
            yield f"{day}.json: the digest of this night was written and is gone"


KEPT_DAYS: Final = 7
CHECKS: Final[Mapping[str, Callable[[Parts], Iterable[str]]]] = {
    "digests": digest_faults,
    "seals": lambda parts: seal_faults(
        {name: part[PARTS] for name, part in parts.items() if PARTS in part}
    ),
    "practice rows": lambda _parts: row_faults(),
    "access tokens": lambda _parts: token_faults(),
    "kept answers": answer_faults,
    "working documents": document_faults,
    "erasures": lambda _parts: erasure_faults(),
}

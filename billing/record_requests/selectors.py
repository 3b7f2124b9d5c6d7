"""What a client was given: the record as it was known at the instant of the request.

The log only grows, so that instant alone says what was given; the digest shows that the
program still tells it the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from billing.record_requests.domain.decisions import RECORD_COPY, digest_of
from billing.record_requests.domain.settings import RecordRequestSettings, check_may_make
from billing.summaries.models import Disclosure
from billing.summaries.selectors.disclosures import disclosure_list
from clients.record.selectors import client_as_known, client_history
from practice.core.decisions import Actor
from practice.core.reasons import existing
from practice.policy.selectors import settings_group

EVENTS_AT_ONCE = 1000


def check_allowed(actor: Actor) -> None:
    """Raises Rejected 403 where the practice does not let this role make copies of records."""
    check_may_make(actor, settings_group("record_requests", RecordRequestSettings)[0])


@dataclass(frozen=True)
class RecordCopy:
    """A disclosure to the client and what was given."""

    disclosure: Disclosure
    record: dict[str, Any]

    @property
    def as_given(self) -> bool:
        """Whether the program still tells the same of that instant."""
        kept: dict[str, str] = self.disclosure.sha256
        return digest_of(self.record) == kept["json"]


def record_copy(client_id: UUID, record_request_id: UUID) -> RecordCopy:
    """What was given upon a request. Raises Rejected 404 where the client has none with that id."""
    mine = disclosure_list().filter(client_id=client_id, what=RECORD_COPY)
    found = existing(mine.filter(pk=record_request_id).first(), "record request")
    return RecordCopy(found, client_as_known(client_id, known_at=found.disclosed_at))


def record_sentences(copy: RecordCopy) -> Iterator[dict[str, Any]]:
    """Every event until then in a sentence, in order of recording."""
    after: int | None = None
    while True:
        page = client_history(
            copy.disclosure.client_id,
            known_at=copy.disclosure.disclosed_at,
            after_version=after,
            page_size=EVENTS_AT_ONCE,
        )
        yield from page["results"]
        after = page["next_after_version"]
        if after is None:
            return

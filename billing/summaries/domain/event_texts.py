"""A disclosure in a plain sentence, for the history of a record. Pure."""

from __future__ import annotations

from billing.summaries.domain.events import RecordDisclosed
from clients.identity.domain.event_texts import event_text


@event_text(RecordDisclosed)
def _disclosed(event: RecordDisclosed) -> str:
    what = event.what.replace("_", " ")
    return f"Disclosed to {event.recipient}: {what}, for {event.purpose}."

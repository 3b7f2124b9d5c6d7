"""A disclosure in a plain sentence, for the history of a record. Pure."""

from __future__ import annotations

from billing.domain.disclosed import RecordDisclosed
from clients.domain.sentences import says


@says(RecordDisclosed)
def _disclosed(event: RecordDisclosed) -> str:
    what = event.what.replace("_", " ")
    return f"Disclosed to {event.recipient}: {what}, for {event.purpose}."

"""Drafts as they lie in their rows: written in today's form, read in the earlier one too. Pure."""

from __future__ import annotations

from typing import Any

import msgspec

from sessions.notes.domain.device_saves import mark_of
from sessions.notes.domain.draft_fields import DraftField, PastValue, SavedValue
from sessions.notes.domain.drafts import Draft
from sessions.notes.domain.line_fields import as_line_fields


def write_draft(draft: Draft) -> bytes:
    """A draft as bytes."""
    return msgspec.json.encode(draft)


def read_draft(plain: bytes) -> Draft:
    """A draft from its bytes; of one in the first form what stands and what it read as.

    Earlier forms kept lines whole, the first of them heads and history by field. The numbers that
    that one had met are not brought over: an old save that comes once more stands beside what was
    written since.
    """
    found = msgspec.json.decode(plain)
    if "devices" in found:
        draft = msgspec.convert(found, Draft)
        draft.fields = as_line_fields(draft.fields)
        return draft
    fields = {name: _earlier_field(one) for name, one in found["fields"].items()}
    return Draft(revision=found["revision"], fields=as_line_fields(fields))


def _earlier_field(one: dict[str, Any]) -> DraftField:
    saved = [
        SavedValue(
            device=head["device"],
            base=0,
            sequence=0,
            arrival=0,
            mark=mark_of(head["value"]),
            value=head["value"],
            shown_since=head["revision"],
        )
        for head in one["heads"]
    ]
    history = [PastValue(past["revision"], past["value"]) for past in one["history"]]
    return DraftField(saved=saved, history=history)

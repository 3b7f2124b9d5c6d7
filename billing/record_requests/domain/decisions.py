"""The decision that a client gets what is on record of them. Pure."""

from __future__ import annotations

from enum import StrEnum
from hashlib import sha256
from typing import Any

import msgspec

from billing.summaries.domain.events import RecordDisclosed
from practice.core.decisions import Context, Decided

RECORD_COPY = "record_copy"
"""What is disclosed: all that is on record of a client, to the client."""


class AskedBy(StrEnum):
    """Who asked for it and gets it. No name: a disclosure outlives the record."""

    CLIENT = "client"
    GUARDIAN = "guardian"


class RequestRecord(msgspec.Struct, frozen=True, kw_only=True):
    """A client, or their guardian, asks what is on record; ``purpose`` in words."""

    asked_by: AskedBy = AskedBy.CLIENT
    purpose: str = "the client asked what is on record"


def digest_of(record: Any) -> str:
    """The SHA-256 of a record as it is given, in hexadecimal."""
    return sha256(msgspec.json.encode(record, order="deterministic")).hexdigest()


def decide_request(command: RequestRecord, record: Any, ctx: Context) -> Decided:
    """The disclosure, with the digest of what is given."""
    return [
        RecordDisclosed(
            disclosure_id=ctx.new_id(),
            what=RECORD_COPY,
            recipient=f"the {command.asked_by.value}",
            purpose=command.purpose.strip(),
            sha256={"json": digest_of(record)},
        )
    ]

"""The list of erasures, kept outside the database: a restored backup forgets them, it does not.

One line an erasure, each sealed with the chain's key together with the line before it. It names
ids and times, nobody. The line is written before the key is destroyed.
"""

from __future__ import annotations

import fcntl
import hmac
import json
import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from uuid import UUID

import msgspec
from django.conf import settings

from practice.audit.domain.state import ErasureStatus
from practice.eventstore.envelope import chain_key
from practice.eventstore.models import StoredEvent, StreamHead

DESTROYED = "record.key_destroyed"


class ListedErasure(msgspec.Struct, frozen=True, kw_only=True):
    """An erasure as the list keeps it: whose record, and who decided what and when."""

    client_id: UUID
    erasure_id: UUID
    ordered_by: UUID
    approved_by: UUID
    approved_at: datetime
    ordered_at: datetime | None = None
    retained_until: date | None = None
    before_retention: bool = False


@dataclass
class ErasureList:
    """What the list holds by client, what is wrong with it, and the seal of its last line."""

    entries: dict[UUID, ListedErasure] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)
    seal: str = ""


def list_path() -> Path:
    """Where the list lies (``PRACTICE_ERASURES``)."""
    return Path(settings.PRACTICE_ERASURES)


def read_list() -> ErasureList:
    """The list as it stands; a line that is not as it was written is a fault and is left out."""
    path, found = list_path(), ErasureList()
    lines = path.read_text().splitlines() if path.exists() else []
    for number, line in enumerate(lines, start=1):
        try:
            stored = json.loads(line)
            body, seal = stored["body"], stored["seal"]
            whole = hmac.compare_digest(_seal(found.seal, body), seal)
            entry = msgspec.json.decode(body, type=ListedErasure)
        except (ValueError, KeyError, TypeError, msgspec.MsgspecError):
            whole = False
        if not whole:
            found.faults.append(f"{path.name}: line {number} is not as it was written")
            continue
        found.seal = seal
        found.entries[entry.client_id] = entry
    return found


def list_erasure(client_id: UUID, status: ErasureStatus) -> None:
    """Write an erasure into the list, once; on the disk when this returns. Raises OSError."""
    if status.erasure_id is None or status.approved_at is None:
        raise ValueError(f"the record {client_id} is not closed")
    path = list_path()
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with os.fdopen(os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o600), "a") as file:
        fcntl.flock(file, fcntl.LOCK_EX)  # released with the file
        stands = read_list()
        if client_id in stands.entries:
            return
        entry = ListedErasure(
            client_id=client_id,
            erasure_id=status.erasure_id,
            ordered_by=status.ordered_by or UUID(int=0),
            ordered_at=status.ordered_at,
            approved_by=status.approved_by or UUID(int=0),
            approved_at=status.approved_at,
            retained_until=status.retained_until,
            before_retention=status.before_retention,
        )
        body = msgspec.json.encode(entry).decode()
        file.write(json.dumps({"body": body, "seal": _seal(stands.seal, body)}) + "\n")
        file.flush()
        os.fsync(file.fileno())


def erasure_faults() -> Iterator[str]:
    """What the list and the log say of each other, as sentences."""
    stands = read_list()
    yield from stands.faults
    erased = StoredEvent.objects.filter(type=DESTROYED).values_list("stream", flat=True)
    for stream in sorted(set(erased)):
        if stream not in stands.entries:
            yield f"{stream}: was erased, and {list_path()} does not name it"
    for client_id, entry in stands.entries.items():
        if StreamHead.objects.filter(stream=client_id, starts_at_version=1).exists():
            yield (
                f"{client_id}: was erased on {entry.approved_at.date()} and stands in the database"
                " again: run `python3 manage.py apply_erasures`"
            )


def _seal(before: str, body: str) -> str:
    return hmac.digest(chain_key()[1], f"{before}|{body}".encode(), "sha256").hex()

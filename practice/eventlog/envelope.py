"""The envelope of an event: canonical bytes, chain and encryption.

Every column of a row and the mac of the row before it in the stream go into an
HMAC-SHA-256 under a key from the environment, so that a changed, removed,
swapped or appended row shows. The payload is sealed with the client's data key;
stream, version and type are its associated data.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
from datetime import UTC, datetime
from functools import lru_cache
from typing import NamedTuple
from uuid import UUID

from django.conf import settings

from practice.domain.events import Recorded, registry
from practice.keys.keystore import Key

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


class Envelope(NamedTuple):
    """The columns of a stored event, in the order of the table."""

    position: int
    stream: UUID
    version: int
    type: str
    type_version: int
    effective_at: datetime
    recorded_at: datetime
    actor: UUID
    request_id: str
    key_id: UUID
    ciphertext: bytes
    mac_key_id: str
    mac: bytes


@lru_cache(maxsize=4)
def _chain_key(encoded: str) -> tuple[str, bytes]:
    raw = base64.b64decode(encoded)
    return hashlib.sha256(b"chain" + raw).hexdigest()[:16], raw


def chain_key() -> tuple[str, bytes]:
    """The id and bytes of the chain's key."""
    return _chain_key(settings.PRACTICE_CHAIN_KEY)


def microseconds(moment: datetime) -> int:
    """Whole microseconds since 1970 in UTC: the same on every engine."""
    delta = moment - EPOCH
    return (delta.days * 86_400 + delta.seconds) * 1_000_000 + delta.microseconds


def canonical(row: Envelope) -> bytes:
    """All columns but the mac as one unambiguous byte string: each field length-prefixed."""
    fields = (
        b"%d" % row.position,
        row.stream.bytes,
        b"%d" % row.version,
        row.type.encode(),
        b"%d" % row.type_version,
        b"%d" % microseconds(row.effective_at),
        b"%d" % microseconds(row.recorded_at),
        row.actor.bytes,
        row.request_id.encode(),
        row.key_id.bytes,
        row.ciphertext,
        row.mac_key_id.encode(),
    )
    return b"".join(b"%d:" % len(field) + field for field in fields)


def mac_of(row: Envelope, previous: bytes, key: bytes) -> bytes:
    """The chained HMAC-SHA-256 of a row."""
    return hmac.digest(key, b"%d:" % len(previous) + previous + canonical(row), "sha256")


def associated(stream: UUID, version: int, type_name: str) -> bytes:
    """Associated data of the payload's encryption: a payload cannot move to another place."""
    return stream.bytes + b"|%d|" % version + type_name.encode()


def seal(recorded: Recorded, key: Key, previous: bytes) -> Envelope:
    """The stored form of an event: encrypted, then chained to the one before it."""
    mac_key_id, mac_key = chain_key()
    row = Envelope(
        position=recorded.position,
        stream=recorded.stream,
        version=recorded.version,
        type=recorded.type,
        type_version=registry.by_name[recorded.type].version,
        effective_at=recorded.effective_at,
        recorded_at=recorded.recorded_at,
        actor=recorded.actor,
        request_id=recorded.request_id,
        key_id=key.id,
        ciphertext=key.seal(
            registry.encode(recorded.data),
            associated(recorded.stream, recorded.version, recorded.type),
        ),
        mac_key_id=mac_key_id,
        mac=b"",
    )
    return row._replace(mac=mac_of(row, previous, mac_key))


def unseal(row: Envelope, key: Key) -> Recorded:
    """The event of a stored row, lifted to its newest version."""
    payload = key.open(row.ciphertext, associated(row.stream, row.version, row.type))
    return Recorded(
        position=row.position,
        stream=row.stream,
        version=row.version,
        type=row.type,
        effective_at=row.effective_at,
        recorded_at=row.recorded_at,
        actor=row.actor,
        request_id=row.request_id,
        data=registry.decode(row.type, row.type_version, payload),
    )

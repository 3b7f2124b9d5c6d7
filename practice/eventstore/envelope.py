"""The envelope of an event: canonical bytes, chain and encryption.

Every column of a row and the mac of the row before it in the stream go into an
HMAC-SHA-256 under a key from the environment, so that a changed, removed,
swapped or appended row shows. The payload is encrypted with the client's data key;
stream, version and type are its associated data.
"""

from __future__ import annotations

import base64
import hashlib
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import UTC, datetime
from functools import lru_cache
from types import MappingProxyType
from typing import Any, NamedTuple
from uuid import UUID

import msgspec
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.hmac import HMAC
from django.conf import settings

from practice.core.events import Event, RecordedEvent, registry
from practice.keys.keystore import (
    PRACTICE_SUBJECT,
    Key,
    SealDamagedError,
    UnreadableRecordError,
    keystore,
)

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
LOADED = (
    *("position", "version", "type", "type_version", "occurred_at", "recorded_at", "actor"),
    *("request_id", "key_id", "ciphertext"),
)
VERSION, TYPE, KEY_ID, CIPHERTEXT = (
    LOADED.index(name) for name in ("version", "type", "key_id", "ciphertext")
)
MAC = len(LOADED)
"""Where a row has its mac, if it was asked for."""


class DamagedEventError(UnreadableRecordError):
    """A stored event cannot be opened: it, or what it is bound to, is not as it was written."""


class Envelope(NamedTuple):
    """The columns of a stored event, in the order of the table."""

    position: int
    stream: UUID
    version: int
    type: str
    type_version: int
    occurred_at: datetime
    recorded_at: datetime
    actor: UUID
    request_id: str
    key_id: UUID
    ciphertext: bytes
    mac_key_id: str
    mac: bytes


class ChainedRow(NamedTuple):
    """The same columns as the chain binds them: ids as their 16 bytes, moments as whole
    microseconds since 1970 in UTC. They are the same on every engine, and quick to read."""

    position: int
    stream: bytes
    version: int
    type: str
    type_version: int
    occurred_at: int
    recorded_at: int
    actor: bytes
    request_id: str
    key_id: bytes
    ciphertext: bytes
    mac_key_id: str
    mac: bytes

    @classmethod
    def of(cls, row: Envelope) -> ChainedRow:
        """From the columns as the program writes them."""
        return cls(
            position=row.position,
            stream=row.stream.bytes,
            version=row.version,
            type=row.type,
            type_version=row.type_version,
            occurred_at=microseconds(row.occurred_at),
            recorded_at=microseconds(row.recorded_at),
            actor=row.actor.bytes,
            request_id=row.request_id,
            key_id=row.key_id.bytes,
            ciphertext=row.ciphertext,
            mac_key_id=row.mac_key_id,
            mac=row.mac,
        )


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


def canonical(row: ChainedRow) -> bytes:
    """All columns but the mac as one unambiguous byte string: each field length-prefixed."""
    # Unpacked once, one format string, no loop: verify_log spends most of its time here.
    at, stream, number, kind, form, begun, kept, actor, asked, key_id, ciphertext, seal, _ = row
    position, version, of = b"%d" % at, b"%d" % number, b"%d" % form
    occurred, recorded = b"%d" % begun, b"%d" % kept
    name, request, mac_key = kind.encode(), asked.encode(), seal.encode()
    return b"%d:%b16:%b%d:%b%d:%b%d:%b%d:%b%d:%b16:%b%d:%b16:%b%d:%b%d:%b" % (
        *(len(position), position, stream, len(version), version, len(name), name),
        *(len(of), of, len(occurred), occurred, len(recorded), recorded, actor),
        *(len(request), request, key_id, len(ciphertext), ciphertext),
        *(len(mac_key), mac_key),
    )


def mac_of(row: ChainedRow, previous: bytes, key: bytes) -> bytes:
    """The chained HMAC-SHA-256 of a row."""
    mac = _keyed(key).copy()
    mac.update(b"%d:%b%b" % (len(previous), previous, canonical(row)))
    return mac.finalize()


@lru_cache(maxsize=4)
def _keyed(key: bytes) -> HMAC:
    """An HMAC that has taken in the key: a copy for each row is quicker than a new one, and than
    a one-shot digest, which looks the algorithm up each time."""
    return HMAC(key, SHA256())


def associated_data(stream: bytes, version: int, type_name: str) -> bytes:
    """Associated data of the payload's encryption: a payload cannot move to another place."""
    return b"%b|%d|%b" % (stream, version, type_name.encode())


def encrypt(recorded: RecordedEvent, key: Key, previous: bytes) -> Envelope:
    """The stored form of an event: encrypted, then chained to the one before it."""
    mac_key_id, mac_key = chain_key()
    row = Envelope(
        position=recorded.position,
        stream=recorded.stream,
        version=recorded.version,
        type=recorded.type,
        type_version=registry.by_name[recorded.type].version,
        occurred_at=recorded.occurred_at,
        recorded_at=recorded.recorded_at,
        actor=recorded.actor,
        request_id=recorded.request_id,
        key_id=key.id,
        ciphertext=key.encrypt(
            registry.encode(recorded.data),
            associated_data(recorded.stream.bytes, recorded.version, recorded.type),
        ),
        mac_key_id=mac_key_id,
        mac=b"",
    )
    return row._replace(mac=mac_of(ChainedRow.of(row), previous, mac_key))


def decrypt(stream: UUID, rows: Iterable[Sequence[Any]]) -> list[RecordedEvent]:
    """The events of a stream's stored rows, each upcast to its newest version.

    A row is (position, version, type, type version, effective and recorded time, actor,
    request id, key id, ciphertext), whatever may follow; ids are UUIDs or their 16 bytes, the
    effective time may be None where it is the recorded one. Raises UnreadableRecordError for a
    lost key and for an event that does not open.
    """
    prefix, decode = stream.bytes, registry.decode
    decryptors: dict[UUID | bytes, Callable[[bytes, bytes], bytes]] = {}
    actors: dict[UUID | bytes, UUID] = {}
    events = []
    for row in rows:
        # Cut to its columns: with "*_" a list would be made for each row.
        position, version, name, of, effective, recorded, who, request, key_id, sealed = row[:MAC]
        if key_id not in decryptors:
            decryptors[key_id] = _key_for(stream, as_uuid(key_id)).decrypt
        if who not in actors:
            actors[who] = as_uuid(who)
        try:
            plain = decryptors[key_id](sealed, associated_data(prefix, version, name))
            data = decode(name, of, plain)
        except (SealDamagedError, msgspec.MsgspecError) as error:
            raise DamagedEventError(f"{stream}@{version}: the event does not open") from error
        events.append(
            RecordedEvent(
                position,
                stream,
                version,
                name,
                effective or recorded,
                recorded,
                actors[who],
                request,
                data,
            )
        )
    return events


class SizedEvents(NamedTuple):
    """Events and how many bytes those of each class take in the log."""

    events: Sequence[RecordedEvent] = ()
    sizes: Mapping[type[Event], int] = MappingProxyType({})

    @classmethod
    def of(cls, stream: UUID, rows: Sequence[Sequence[Any]]) -> SizedEvents:
        """From stored rows. Raises as ``load`` does."""
        events = decrypt(stream, rows)
        sizes: dict[type[Event], int] = defaultdict(int)
        for one, row in zip(events, rows, strict=True):
            sizes[type(one.data)] += len(row[CIPHERTEXT])
        return cls(events, sizes)

    def size_of(self, kinds: Iterable[type[Event]]) -> int:
        """The stored bytes of the events of some kinds."""
        return sum(self.sizes.get(kind, 0) for kind in kinds)


def _key_for(stream: UUID, key_id: UUID) -> Key:
    """The key of an event: its client's or, after an erasure, the practice's own."""
    key = keystore.by_id(key_id)
    if key.subject not in (stream, PRACTICE_SUBJECT):
        raise DamagedEventError(f"{stream}: an event names the data key of {key.subject}")
    return key


def as_uuid(value: UUID | bytes) -> UUID:
    """An id as the engine gives it: a UUID or its 16 bytes."""
    return value if isinstance(value, UUID) else UUID(bytes=value)

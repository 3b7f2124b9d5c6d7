"""Idempotency keys: one answer per key, given again to a repeat of the same request.

A key belongs to its caller and to one method, path and body; another body under
it is refused (422). The claim is a row in the same transaction as the work, so a
twin in flight waits for it and then gets the stored answer, and a failure leaves
nothing behind. Only answers of success are stored, for a day, encrypted.
"""

from __future__ import annotations

import hashlib
import hmac
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

import msgspec
from django.db import connection

from practice.core.reasons import Rejected, existing
from practice.eventstore.envelope import chain_key
from practice.keys.keystore import PRACTICE_SUBJECT, keystore
from practice.work.models import IdempotencyRecord

KEEP_FOR = timedelta(hours=24)


@dataclass(frozen=True, slots=True)
class IdempotencyClaim:
    """A caller's key and the request it stands for."""

    caller: UUID
    key: str
    method: str
    path: str
    body: bytes

    def fingerprint(self) -> str:
        """A keyed digest of method, path and body: tells requests apart, tells nothing else."""
        parts = (self.method.encode(), self.path.encode(), self.body)
        digest = hmac.new(chain_key()[1], digestmod=hashlib.sha256)
        for part in parts:
            digest.update(b"%d:" % len(part) + part)
        return digest.hexdigest()


class StoredResponse(msgspec.Struct, frozen=True):
    """An answer as it went out: status, body and the headers that belong to it.

    ``client_ids``: whose records it tells of; ``role``: as which role it was rendered. A repeat
    is given it only if it would get it fresh.
    """

    status: int
    body: bytes
    headers: dict[str, str]
    client_ids: tuple[UUID, ...] = ()
    role: str = ""


class Replay(Exception):
    """The request was answered before: here is the answer."""

    def __init__(self, response: StoredResponse) -> None:
        super().__init__("answered before")
        self.response = response


def claim_key(claim: IdempotencyClaim, now: datetime) -> datetime:
    """Claim a key inside the transaction, or raise Replay with the answer once given.

    Returns until when it is claimed.

    Raises Rejected (422) when the key was used for another request. A twin that
    is still at work holds the row: this call waits for it, up to the lock timeout.
    """
    fingerprint = claim.fingerprint()
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO practice_idempotencyrecord"
            " (caller, key, fingerprint, expires_at) VALUES (%s, %s, %s, %s)"
            " ON CONFLICT (caller, key) DO UPDATE SET fingerprint = excluded.fingerprint,"
            " expires_at = excluded.expires_at, response = NULL, key_id = NULL"
            " WHERE practice_idempotencyrecord.expires_at < %s",
            [_db(claim.caller), claim.key, fingerprint, _moment(now + KEEP_FOR), _moment(now)],
        )
        if cursor.rowcount == 1:
            return now + KEEP_FOR
    stored = IdempotencyRecord.objects.get(caller=claim.caller, key=claim.key)
    if stored.fingerprint != fingerprint:
        raise Rejected(
            "idempotency_key_reused",
            "This Idempotency-Key was used for another request. Take a new key for a new request.",
            status=422,
        )
    if stored.response is None or stored.key_id is None:
        raise Rejected(
            "idempotency_key_spent",
            "The request under this Idempotency-Key was carried out but its answer was not kept."
            " Look the result up instead of repeating it.",
        )
    raise Replay(open_response(stored))


def store_response(
    claim: IdempotencyClaim, kept_until: datetime, subject: UUID | None, response: StoredResponse
) -> None:
    """Keep the answer with the claim, encrypted with the client's key where there is one."""
    key = keystore.of(subject or PRACTICE_SUBJECT)
    place = _place(claim.caller, claim.key, claim.fingerprint(), kept_until)
    sealed = key.encrypt(msgspec.msgpack.encode(response), place)
    with connection.cursor() as cursor:
        cursor.execute(
            "UPDATE practice_idempotencyrecord SET key_id = %s, response = %s"
            " WHERE caller = %s AND key = %s",
            [_db(key.id), sealed, _db(claim.caller), claim.key],
        )


def open_response(stored: IdempotencyRecord) -> StoredResponse:
    """The answer that a row keeps. Raises UnreadableRecordError where it is not as it was kept."""
    key = keystore.by_id(existing(stored.key_id, "answer"))
    place = _place(stored.caller, stored.key, stored.fingerprint, stored.expires_at)
    return msgspec.msgpack.decode(
        key.decrypt(bytes(stored.response or b""), place), type=StoredResponse
    )


def _place(caller: UUID, key: str, fingerprint: str, kept_until: datetime) -> bytes:
    """Associated data of an answer: it cannot be given to another caller, key or request."""
    until = kept_until.astimezone(UTC).isoformat()
    return b"response|%b|%b|%b|%b" % (
        *(caller.bytes, fingerprint.encode(), until.encode(), key.encode()),
    )


def drop_answers(client_id: UUID) -> None:
    """Drop the answers encrypted with a client's key; their keys stay claimed, so that a repeat
    is refused instead of done again."""
    IdempotencyRecord.objects.filter(key_id=keystore.of(client_id).id).update(response=None)


def delete_expired(now: datetime) -> int:
    """Drop answers older than a day. Returns how many went."""
    return IdempotencyRecord.objects.filter(expires_at__lt=now).delete()[0]


def _db(value: UUID) -> str:
    field = IdempotencyRecord._meta.get_field("caller")
    stored = field.get_db_prep_value(value, connection)
    return str(stored) if connection.vendor == "postgresql" else stored


def _moment(value: datetime) -> Any:
    return connection.ops.adapt_datetimefield_value(value)

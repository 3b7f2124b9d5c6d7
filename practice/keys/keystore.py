"""KeyStore: the one way to a data key.

A key is made and committed before its client's first event, so that no event can
exist under a key that was lost with a rolled-back transaction. It is wrapped together with
its own id and its client's: the row of another client does not open. Unwrapped keys are
cached for a minute at most, in memory only.
"""

from __future__ import annotations

import base64
import hashlib
import os
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from uuid import UUID, uuid4

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from django.conf import settings

from practice.clock import clock
from practice.keys.cache import KeyCache
from practice.keys.models import DataKey
from practice.keys.router import keys_alias

PRACTICE_SUBJECT = UUID(int=0)
NONCE = 12
CACHE_SECONDS = 60


class UnreadableRecordError(Exception):
    """Something of a record cannot be opened; the text names what and why."""


class KeyDestroyedError(UnreadableRecordError):
    """The data key is gone: what it encrypted can never be read again."""


class SealDamagedError(UnreadableRecordError):
    """What was encrypted does not open: it, or what it is bound to, is not as it was written."""


class KeyDamagedError(UnreadableRecordError):
    """The row of a data key is not as it was written for its client."""


@dataclass(frozen=True, slots=True)
class Key:
    """An unwrapped data key of a subject, ready to encrypt and decrypt."""

    id: UUID
    subject: UUID
    cipher: AESGCM

    def encrypt(self, plain: bytes, associated_data: bytes) -> bytes:
        """Nonce + AES-GCM ciphertext; ``associated_data`` must be given again to open it."""
        nonce = os.urandom(NONCE)
        return nonce + self.cipher.encrypt(nonce, plain, associated_data)

    def decrypt(self, ciphertext: bytes, associated_data: bytes) -> bytes:
        """The plain bytes. Raises SealDamagedError if altered, or moved from its place."""
        try:
            return self.cipher.decrypt(ciphertext[:NONCE], ciphertext[NONCE:], associated_data)
        except (InvalidTag, ValueError) as error:
            raise SealDamagedError(f"what the data key {self.id} has sealed is damaged") from error


def master_key() -> tuple[str, bytes]:
    """The master key of the environment and its id (a digest's first bytes)."""
    raw = base64.b64decode(settings.PRACTICE_MASTER_KEY)
    return hashlib.sha256(b"master" + raw).hexdigest()[:16], raw


def wrapping_data(key_id: UUID, subject: UUID, created_at: datetime) -> bytes:
    """Associated data of the wrapping: a key cannot become another client's."""
    return key_id.bytes + subject.bytes + created_at.astimezone(UTC).isoformat().encode()


def unwrap(row: DataKey) -> Key:
    """The key of a row. Raises KeyDestroyedError, and KeyDamagedError where the row was changed,
    belongs to another subject or was wrapped by another master key."""
    if row.destroyed_at is not None:
        raise KeyDestroyedError(f"the data key {row.id} was destroyed")
    master_id, master = master_key()
    if row.master_key_id != master_id:
        raise KeyDamagedError(f"the data key {row.id} names master key {row.master_key_id}")
    try:
        raw = AESGCM(master).decrypt(
            bytes(row.wrapped)[:NONCE],
            bytes(row.wrapped)[NONCE:],
            wrapping_data(row.id, row.subject, row.created_at),
        )
    except (InvalidTag, ValueError) as error:
        raise KeyDamagedError(
            f"the data key {row.id} is not as it was made for {row.subject}"
        ) from error
    return Key(row.id, row.subject, AESGCM(raw))


class KeyStore:
    """Makes, finds, caches and destroys data keys."""

    def __init__(self) -> None:
        self._cache = KeyCache(CACHE_SECONDS)
        self.on_forgetting: list[Callable[[], None]] = []

    def create(self, subject: UUID) -> Key:
        """A new key for a subject, committed on its own before any event needs it."""
        master_id, master = master_key()
        key_id, raw = uuid4(), AESGCM.generate_key(bit_length=256)
        now, nonce = clock.now(), os.urandom(NONCE)
        wrapped = nonce + AESGCM(master).encrypt(nonce, raw, wrapping_data(key_id, subject, now))
        DataKey.objects.using(keys_alias()).create(
            id=key_id,
            subject=subject,
            wrapped=wrapped,
            master_key_id=master_id,
            created_at=now,
        )
        return self._remember(Key(key_id, subject, AESGCM(raw)))

    def of(self, subject: UUID) -> Key:
        """The living key of a subject. Raises UnreadableRecordError where there is none."""
        cached: Key | None = self._cache.get(("subject", subject))
        if cached is not None:
            return cached
        living = DataKey.objects.using(keys_alias()).filter(subject=subject, destroyed_at=None)
        row = living.order_by("created_at").first()
        if row is None:
            raise KeyDestroyedError(f"there is no data key of {subject}")
        return self._remember(unwrap(row))

    def fetch(self, subjects: Iterable[UUID]) -> None:
        """Have the keys of some subjects at hand with one query; one that is lost stays away."""
        missing = [one for one in subjects if self._cache.get(("subject", one)) is None]
        living = DataKey.objects.using(keys_alias()).filter(subject__in=missing, destroyed_at=None)
        for row in living.order_by("-created_at"):  # the eldest last: it is the one in use
            with suppress(KeyDamagedError):
                self._remember(unwrap(row))

    def by_id(self, key_id: UUID) -> Key:
        """The key with an id. Raises UnreadableRecordError: destroyed, damaged or never there."""
        cached: Key | None = self._cache.get(("id", key_id))
        if cached is not None:
            return cached
        row = DataKey.objects.using(keys_alias()).filter(id=key_id).first()
        if row is None:
            raise KeyDestroyedError(f"there is no data key {key_id}")
        return self._remember(unwrap(row))

    def destroy(self, subject: UUID) -> int:
        """Destroy the keys of a subject; safe to repeat. Returns how many went now.

        Each is opened first: a row that another client's was put into is not destroyed in
        their stead. Raises KeyDamagedError for it.
        """
        self.invalidate()
        living = DataKey.objects.using(keys_alias()).filter(subject=subject, destroyed_at=None)
        for row in living:
            unwrap(row)
        return living.update(wrapped=b"", destroyed_at=clock.now())

    def invalidate(self) -> None:
        """Drop every cached key, and with them what was made of what they opened."""
        self._cache.clear()
        for forget in self.on_forgetting:
            forget()

    def deadline(self, subject: UUID) -> float | None:
        """Until when, by the monotonic clock, a subject's key is in memory; None: it is not."""
        return self._cache.until(("subject", subject))

    def encrypt(self, subject: UUID, plain: bytes, associated_data: bytes = b"paper") -> bytes:
        """Encrypt a client's working document with the client's key."""
        return self.of(subject).encrypt(plain, associated_data)

    def decrypt(self, subject: UUID, ciphertext: bytes, associated_data: bytes = b"paper") -> bytes:
        """Decrypt a client's working document with the client's key."""
        return self.of(subject).decrypt(ciphertext, associated_data)

    def _remember(self, key: Key) -> Key:
        self._cache.put(("id", key.id), key)
        self._cache.put(("subject", key.subject), key)
        return key


keystore = KeyStore()

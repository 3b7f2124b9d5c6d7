"""KeyStore: the one way to a data key.

A key is made and committed before its client's first event, so that no event can
exist under a key that was lost with a rolled-back transaction. Unwrapped keys are
cached for a minute at most, in memory only.
"""

from __future__ import annotations

import base64
import hashlib
import os
import time
from dataclasses import dataclass
from typing import Any
from uuid import UUID, uuid4

from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from django.conf import settings

from practice.clock import clock
from practice.keys.models import DataKey
from practice.keys.router import keys_alias

PRACTICE_SUBJECT = UUID(int=0)
NONCE = 12
CACHE_SECONDS = 60


class UnreadableRecordError(Exception):
    """Something of a record cannot be opened; the text names what and why."""


class KeyDestroyedError(UnreadableRecordError):
    """The data key is gone: what it encrypted can never be read again."""


@dataclass(frozen=True, slots=True)
class Key:
    """An unwrapped data key, ready to encrypt and decrypt."""

    id: UUID
    cipher: AESGCM

    def encrypt(self, plain: bytes, associated_data: bytes) -> bytes:
        """Nonce + AES-GCM ciphertext; ``associated_data`` must be given again to open it."""
        nonce = os.urandom(NONCE)
        return nonce + self.cipher.encrypt(nonce, plain, associated_data)

    def decrypt(self, ciphertext: bytes, associated_data: bytes) -> bytes:
        """The plain bytes; raises ``cryptography.exceptions.InvalidTag`` if altered."""
        return self.cipher.decrypt(ciphertext[:NONCE], ciphertext[NONCE:], associated_data)


def master_key() -> tuple[str, bytes]:
    """The master key of the environment and its id (a digest's first bytes)."""
    raw = base64.b64decode(settings.PRACTICE_MASTER_KEY)
    return hashlib.sha256(b"master" + raw).hexdigest()[:16], raw


class KeyStore:
    """Makes, finds, caches and destroys data keys."""

    def __init__(self) -> None:
        self._by_id: dict[UUID, tuple[float, Key]] = {}
        self._by_subject: dict[UUID, tuple[float, UUID]] = {}

    def create(self, subject: UUID) -> Key:
        """A new key for a subject, committed on its own before any event needs it."""
        master_id, master = master_key()
        key_id, raw = uuid4(), AESGCM.generate_key(bit_length=256)
        wrapped = Key(key_id, AESGCM(master)).encrypt(raw, key_id.bytes)
        DataKey.objects.using(keys_alias()).create(
            id=key_id,
            subject=subject,
            wrapped=wrapped,
            master_key_id=master_id,
            created_at=clock.now(),
        )
        return self._remember(subject, Key(key_id, AESGCM(raw)))

    def of(self, subject: UUID) -> Key:
        """The living key of a subject. Raises KeyDestroyed where there is none."""
        cached = self._by_subject.get(subject)
        if cached and cached[0] > time.monotonic():
            return self.by_id(cached[1])
        row = (
            DataKey.objects.using(keys_alias())
            .filter(subject=subject, destroyed_at=None)
            .order_by("created_at")
            .first()
        )
        if row is None:
            raise KeyDestroyedError(str(subject))
        return self._remember(subject, self._unwrap(row))

    def by_id(self, key_id: UUID) -> Key:
        """The key with an id. Raises KeyDestroyed when it was destroyed or never was."""
        cached = self._by_id.get(key_id)
        if cached and cached[0] > time.monotonic():
            return cached[1]
        row = DataKey.objects.using(keys_alias()).filter(id=key_id, destroyed_at=None).first()
        if row is None:
            raise KeyDestroyedError(str(key_id))
        return self._remember(row.subject, self._unwrap(row))

    def destroy(self, subject: UUID) -> int:
        """Destroy the keys of a subject; safe to repeat. Returns how many went now."""
        self.invalidate()
        return (
            DataKey.objects.using(keys_alias())
            .filter(subject=subject, destroyed_at=None)
            .update(wrapped=b"", destroyed_at=clock.now())
        )

    def invalidate(self) -> None:
        """Drop every cached key."""
        self._by_id.clear()
        self._by_subject.clear()

    def encrypt(self, subject: UUID, plain: bytes, associated_data: bytes = b"paper") -> bytes:
        """Encrypt a client's working document with the client's key."""
        return self.of(subject).encrypt(plain, associated_data)

    def decrypt(self, subject: UUID, ciphertext: bytes, associated_data: bytes = b"paper") -> bytes:
        """Decrypt a client's working document with the client's key."""
        return self.of(subject).decrypt(ciphertext, associated_data)

    def _unwrap(self, row: DataKey) -> Key:
        master_id, master = master_key()
        if row.master_key_id != master_id:
            raise KeyDestroyedError(f"{row.id} is wrapped by master key {row.master_key_id}")
        raw = Key(row.id, AESGCM(master)).decrypt(bytes(row.wrapped), row.id.bytes)
        return Key(row.id, AESGCM(raw))

    def _remember(self, subject: UUID, key: Key) -> Key:
        until = time.monotonic() + CACHE_SECONDS
        self._by_id[key.id] = (until, key)
        self._by_subject[subject] = (until, key.id)
        return key


keystore = KeyStore()


def ensure_practice_key(**_: Any) -> None:
    """The practice's own key, for what belongs to no client; made once."""
    keystore.invalidate()
    if not DataKey.objects.using(keys_alias()).filter(subject=PRACTICE_SUBJECT).exists():
        keystore.create(PRACTICE_SUBJECT)

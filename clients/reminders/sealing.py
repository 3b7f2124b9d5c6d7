"""What of a message belongs to the client: kept under their key, gone with it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any
from uuid import UUID

import msgspec
from django.utils.crypto import salted_hmac

from practice.keys.keystore import PRACTICE_SUBJECT, keystore

_FOR = b"message"


def pack(client_id: UUID | None, **words: str) -> bytes:
    """Some words, encrypted; those of no client with the practice's key."""
    return keystore.encrypt(client_id or PRACTICE_SUBJECT, msgspec.json.encode(words), _FOR)


def unpack(client_id: UUID | None, sealed: bytes | memoryview) -> Mapping[str, str]:
    """The words again."""
    plain = keystore.decrypt(client_id or PRACTICE_SUBJECT, bytes(sealed), _FOR)
    return msgspec.json.decode(plain, type=dict[str, str])


def fetch_keys(rows: Iterable[Any]) -> None:
    """The keys of all rows of a page at once."""
    keystore.fetch({row.client_id or PRACTICE_SUBJECT for row in rows})


def address_code(address: str) -> str:
    """By what an address is found again without standing there."""
    return salted_hmac("clients.reminders.address", address, algorithm="sha256").hexdigest()

"""The link that ends mails: unguessable, for ever the same, and telling nothing."""

from __future__ import annotations

from uuid import UUID

from django.conf import settings
from django.utils.crypto import constant_time_compare, salted_hmac

_SALT = "clients.reminders.stop"
_ID = 32


def _seal(reminder: str) -> str:
    return salted_hmac(_SALT, reminder, algorithm="sha256").hexdigest()[:32]


def stop_link(reminder_id: UUID) -> str:
    """The whole address."""
    token = f"{reminder_id.hex}{_seal(reminder_id.hex)}"
    return f"{settings.PUBLIC_URL}/api/v1/no-more-messages/{token}"


def reminder_of(token: str) -> UUID | None:
    """The reminder whose link it is, or None for what is none of ours."""
    reminder, seal = token[:_ID], token[_ID:]
    if not constant_time_compare(seal, _seal(reminder)):
        return None
    return UUID(reminder)

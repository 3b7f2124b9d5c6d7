"""Mail to a client: no clinical word in subject or body."""

from __future__ import annotations

import logging
from uuid import UUID, uuid5

from django.core.mail import EmailMessage, get_connection
from django.core.mail.backends.base import BaseEmailBackend

log = logging.getLogger(__name__)

SUBJECT = "Time for your next visit"
BODY = """Hello,

it is time to find a day for your next visit with us.
Please call us{phone}, or answer this mail.

{name}
"""
OCCASIONS = UUID("6f2b1a52-5a0e-4c57-9a4c-5b6f3d7c9e10")


def message_id(occasion: str) -> str:
    """The Message-ID of an occasion: always the same, and telling nothing of it."""
    return f"<{uuid5(OCCASIONS, occasion)}@practice-record.invalid>"


def send_reminder(*, to: str, occasion: str, name: str, phone: str) -> None:
    """Send one reminder. Raises where the server does not take it: the job is tried again.

    Taking leave of the server fails no more once it has taken the message.
    """
    body = BODY.format(phone=f" on {phone}" if phone else "", name=name)
    connection = get_connection()
    message = EmailMessage(
        subject=SUBJECT,
        body=body,
        to=[to],
        headers={"Message-ID": message_id(occasion)},
        connection=connection,
    )
    try:
        connection.open()
        message.send()
    finally:
        _take_leave(connection)


def _take_leave(connection: BaseEmailBackend) -> None:
    try:
        connection.close()
    except Exception as error:  # noqa: BLE001  a time limit too: the message is out
        log.warning("the mail server was left in a hurry: %s", type(error).__name__)

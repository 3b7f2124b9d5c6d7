"""One reminder by mail: neutral, with the practice's address and a way to end it."""

from __future__ import annotations

import logging
import smtplib
from typing import Final
from uuid import UUID

from django.core.mail import EmailMessage, get_connection
from django.core.mail.backends.base import BaseEmailBackend

log = logging.getLogger(__name__)

DOMAIN: Final = "practice-record.invalid"
PERMANENT: Final = 500
"""From this answer on a server says that it will never take it (RFC 5321, 4.2.1)."""


class AddressRefused(Exception):
    """The address takes no messages, now or ever; the text is the server's answer."""


def message_id(reminder_id: UUID) -> str:
    """The Message-ID of a reminder: always the same, and telling nothing of it."""
    return f"<{reminder_id}@{DOMAIN}>"


def open_connection() -> BaseEmailBackend:
    """A connection to the server. Raises where there is none: nothing was handed over."""
    connection: BaseEmailBackend = get_connection()
    connection.open()
    return connection


def send_mail(
    connection: BaseEmailBackend, reminder_id: UUID, *, to: str, mail: tuple[str, str], stop_at: str
) -> None:
    """Send one reminder. Raises AddressRefused; for whatever else fails it is tried again.

    Taking leave of the server fails no more once it has taken the message.
    """
    subject, body = mail
    message = EmailMessage(
        subject=subject,
        body=body,
        to=[to],
        headers={
            "Message-ID": message_id(reminder_id),
            "List-Unsubscribe": f"<{stop_at}>",
            "List-Unsubscribe-Post": "List-Unsubscribe=One-Click",
        },
        connection=connection,
    )
    try:
        message.send()
    except smtplib.SMTPRecipientsRefused as refused:
        answers = list(refused.recipients.values())
        if all(code >= PERMANENT for code, _ in answers):
            raise AddressRefused(_words(answers)) from None
        raise
    finally:
        _take_leave(connection)


def _words(answers: list[tuple[int, bytes]]) -> str:
    return "; ".join(f"{code} {words.decode(errors='replace')}" for code, words in answers)[:300]


def _take_leave(connection: BaseEmailBackend) -> None:
    try:
        connection.close()
    except Exception as error:  # noqa: BLE001  a time limit too: the message is out
        log.warning("the mail server was left in a hurry: %s", type(error).__name__)

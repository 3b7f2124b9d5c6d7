"""One reminder by mail: neutral, with the practice's address and a way to end it."""

from __future__ import annotations

import smtplib
from typing import Final
from uuid import UUID

from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend

DOMAIN: Final = "practice-record.invalid"
PERMANENT: Final = 500
"""From this answer on a server says that it will never take it (RFC 5321, 4.2.1)."""


class AddressRefused(Exception):
    """The address takes no messages, now or ever; the text is the server's answer."""


def message_id(reminder_id: UUID) -> str:
    """The Message-ID of a reminder: always the same, and telling nothing of it."""
    return f"<{reminder_id}@{DOMAIN}>"


def send_mail(
    connection: BaseEmailBackend, reminder_id: UUID, *, to: str, mail: tuple[str, str], stop_at: str
) -> None:
    """Send one reminder. Raises AddressRefused; for whatever else fails it is tried again."""
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


def _words(answers: list[tuple[int, bytes]]) -> str:
    return "; ".join(f"{code} {words.decode(errors='replace')}" for code, words in answers)[:300]

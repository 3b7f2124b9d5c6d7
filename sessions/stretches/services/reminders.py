"""Mail to a client: no clinical word in subject or body."""

from __future__ import annotations

from uuid import UUID, uuid5

from django.core.mail import EmailMessage

from practice.jobs.mail import mail_connection

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
    with mail_connection() as connection:
        EmailMessage(
            subject=SUBJECT,
            body=body,
            to=[to],
            headers={"Message-ID": message_id(occasion)},
            connection=connection,
        ).send()

"""Mail that came back: the report of a server (RFC 3464) names the address that takes none."""

from __future__ import annotations

import re
from email.message import Message
from uuid import UUID

from clients.reminders.mailing import DOMAIN
from clients.reminders.models import ContactNotice, Reminder
from clients.reminders.services.notices import keep_notice

_OURS = re.compile(rf"<?([0-9a-f-]{{36}})@{re.escape(DOMAIN)}>?")


def take_bounce(report: Message) -> bool:
    """Keep that an address takes no mail. False where the report is of none of our mails, or
    says that the server goes on trying."""
    words = _failed(report)
    reminder_id = _reminder_of(report)
    row = Reminder.objects.filter(pk=reminder_id).first() if words and reminder_id else None
    if row is None or row.client_id is None:
        return False
    # A report that comes twice is one; a mail that was sent again may come back again.
    key = f"bounced:{row.pk}" if row.tries < 2 else f"bounced:{row.pk}:{row.tries}"
    if ContactNotice.objects.filter(key=key).exists():
        return True
    keep_notice(
        key=key,
        client_id=row.client_id,
        kind=ContactNotice.Kind.BOUNCED,
        channel=row.channel,
        address=row.address,
        words=words,
    )
    Reminder.objects.filter(pk=row.pk).update(status=Reminder.Status.REFUSED)
    return True


def _failed(report: Message) -> str:
    """What the server says of a failure for good (RFC 3463, class 5); empty for any other."""
    for part in report.walk():
        if part.get_content_type() != "message/delivery-status":
            continue
        for fields in part.get_payload():
            if isinstance(fields, Message) and fields.get("Action", "").lower() == "failed":
                status = fields.get("Status", "")
                if status.startswith("5"):
                    return f"{status} {fields.get('Diagnostic-Code', '')}".strip()[:300]
    return ""


def _reminder_of(report: Message) -> UUID | None:
    """The mail that came back, by its Message-ID."""
    for part in report.walk():
        text = part.get("Message-ID", "")
        if part.get_content_type() == "text/rfc822-headers":
            text += str(part.get_payload())
        if found := _OURS.search(text):
            return UUID(found[1])
    return None

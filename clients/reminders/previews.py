"""What a client would read of each template, with example values."""

from __future__ import annotations

from datetime import time, timedelta
from typing import Any
from uuid import UUID

from clients.identity.selectors import client_details_row
from clients.reminders.domain.gsm import length
from clients.reminders.domain.rules import Wording
from clients.reminders.wordings import mail_of, passed_over, text_of, voice_of
from practice.clock import clock
from practice.core.localtime import local_day
from practice.people_and_places.selectors.staff import staff_names
from practice.policy.selectors import practice_address


def wordings_for(client_id: UUID, caller_id: UUID, language: str | None = None) -> dict[str, Any]:
    """The voice text of who asks, and each template; in the client's language or another."""
    client, practice = client_details_row(client_id), practice_address()
    language = language or client.language
    tomorrow = local_day(clock.now(), client.zone) + timedelta(days=1)
    facts = {"day": tomorrow, "time": time(10, 30)}
    caller = staff_names([caller_id]).get(caller_id, "")
    shown = []
    for wording in Wording:
        subject, body = mail_of(wording, facts, practice, language, "…")
        text = text_of(wording, facts, practice, language)
        shown.append(
            {
                "template": wording.value,
                "subject": subject,
                "mail": body,
                "text": text,
                "text_places": length(text),
            }
        )
    return {
        "language": language,
        "voice": voice_of(practice, caller, language),
        "templates": shown,
        "passed_over": passed_over(language),
    }

"""One plain sentence for each kind of event, for the history of a record.

Higher floors add theirs with ``@says(EventClass)``; without one the event's name is
turned into words.
"""

from __future__ import annotations

from clients.consent.domain.events import ConsentDeclined, ConsentRecorded, ConsentWithdrawn
from clients.health.domain.wording import sites_text, words_text
from clients.identity.domain.event_texts import event_text


@event_text(ConsentRecorded)
def _consented(event: ConsentRecorded) -> str:
    return (
        f"The client consented to touch ({sites_text(event.scope.sites)}) by "
        f"{words_text(event.scope.techniques)}, until {event.until.isoformat()}."
    )


@event_text(ConsentDeclined)
def _declined(event: ConsentDeclined) -> str:
    return "The client declined touch."


@event_text(ConsentWithdrawn)
def _withdrew(event: ConsentWithdrawn) -> str:
    return "The client withdrew touch consent."

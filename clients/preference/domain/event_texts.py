"""One plain sentence for each kind of event, for the history of a record.

Higher floors add theirs with ``@says(EventClass)``; without one the event's name is
turned into words.
"""

from __future__ import annotations

from clients.identity.domain.event_texts import event_text
from clients.preference.domain.events import PreferenceExceptionAgreed, PreferenceStated


@event_text(PreferenceStated)
def _preferred(event: PreferenceStated) -> str:
    stated = event.preference
    if stated is None:
        return "The client has no preference of provider any more."
    what = "hands-on work" if stated.scope == "hands_on_only" else "all work"
    whom = f"a {stated.gender}" if stated.gender else f"{len(stated.practitioner_ids)} named people"
    return f"The client prefers {whom} for {what}."


@event_text(PreferenceExceptionAgreed)
def _excepted(event: PreferenceExceptionAgreed) -> str:
    if event.until is not None:
        span = f"until {event.until.isoformat()}"
    else:
        span = f"for the session on {event.on.isoformat()}" if event.on else "for one session"
    return f"The client agreed to another practitioner {span} ({event.agreed_how})."

"""Questions on the hour of a session: what is suggested, and what the practitioner planned."""

from __future__ import annotations

from dataclasses import dataclass

from practice.eventlog import loading
from sessions.domain.calendar.state import CALENDAR
from sessions.domain.hour.events import HourSplit
from sessions.domain.hour.splitting import Split, suggest_split
from sessions.domain.hour.state import HOUR
from sessions.models import Session
from sessions.selectors.hoursettings import hour_settings
from sessions.services.hour import SLICES, Day, hour_facts


@dataclass(frozen=True)
class SessionSplit:
    """The suggestion, the practitioner's own split if there is one, the settings' revision."""

    suggested: Split
    own: HourSplit | None
    settings_revision: int


def session_split(session: Session, day: Day) -> SessionSplit:
    """The split of one session as suggested now."""
    states = loading.load(session.client_id, SLICES)
    settings, revision = hour_settings()
    booked = states[CALENDAR].session(session.pk)
    facts = hour_facts(session.client_id, states, booked, day)
    return SessionSplit(suggest_split(facts, settings), states[HOUR].get(session.pk), revision)

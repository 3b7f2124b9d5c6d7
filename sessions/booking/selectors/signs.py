"""The red flags that stand for a client and the free words that wait for a review."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.health.domain.terms import RedFlag
from clients.permissions.domain.settings import PermissionSettings
from practice.clock import clock
from practice.core.localtime import local_day
from practice.policy.selectors import settings_group
from practice.work import loading
from sessions.booking.domain.reviews import is_emergency
from sessions.calendar.domain.state import CALENDAR


@dataclass(frozen=True)
class StandingFlag:
    """A red flag, the session and day it was said on, and whether it may not be cleared today."""

    red_flag: RedFlag
    session_id: UUID
    said_on: date
    emergency_today: bool


@dataclass(frozen=True)
class WaitingWords:
    """Free words that nobody has reviewed, and where they were said."""

    words: str
    session_id: UUID
    said_on: date


@dataclass(frozen=True)
class ClientSigns:
    """What stands against a client's work until a practitioner who may evaluate has looked."""

    red_flags: list[StandingFlag]
    words: list[WaitingWords]


def client_signs(client_id: UUID) -> ClientSigns:
    """What stands as known now, in order of the day it was said on."""
    states = loading.load_states(client_id, (*CLIENT_FACTS, CALENDAR))
    calendar, client = states[CALENDAR], client_facts(states)
    settings, _ = settings_group("permissions", PermissionSettings)
    sessions = sorted(calendar.sessions.values(), key=lambda one: (one.starts_at, one.id))
    flags = {
        (one.id, sign.flag): StandingFlag(
            sign.flag,
            one.id,
            sign.raised_on,
            is_emergency(one, sign.flag, local_day(clock.now(), one.zone), settings, client),
        )
        for one in sessions
        for sign in one.signs
        if sign.stands()
    }
    words = [
        WaitingWords(said.text, one.id, said.said_on)
        for one in sessions
        for said in one.words
        if said.waits()
    ]
    return ClientSigns(list(flags.values()), words)

"""Helps for cardio and strength, and the hours planned against the hours done."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from dateutil.relativedelta import relativedelta

from clients.domain.clinical import CLIENT_FACTS, client_facts
from clients.domain.identity import IDENTITY
from practice.clock import clock
from practice.domain.localtime import local_day
from practice.domain.reasons import invalid
from practice.domain.terms import Part
from practice.eventlog import loading
from sessions.domain.hour.cardio import WeekOfCardio, Zones, against_guideline, cardio_zones
from sessions.domain.hour.events import PlannedMinutes
from sessions.domain.hour.gates import LoadedLimb
from sessions.domain.hour.history import swollen_limbs
from sessions.domain.hour.state import HOUR
from sessions.domain.hour.strength import LoadSuggestion, Set, suggest_load
from sessions.domain.notes.state import NOTES
from sessions.selectors.facilities import zone_of
from sessions.selectors.hoursettings import hour_settings


@dataclass(frozen=True)
class HourDone:
    """One session's minutes by part: planned by the practitioner (None: by nobody) and done."""

    session_id: UUID
    day: date
    planned: dict[Part, int] | None
    done: dict[Part, int]


@dataclass(frozen=True)
class Week:
    """One week from its Monday: cardio against the guideline, sessions with strength work."""

    begins: date
    cardio: WeekOfCardio
    strength_sessions: int
    strength_wanted: int


def hours_done(client_id: UUID) -> tuple[list[HourDone], list[Week]]:
    """Every signed session, newest first, and the weeks they make up."""
    states = loading.load(client_id, (NOTES, HOUR))
    zone, own = zone_of(None), states[HOUR]
    hours = [
        HourDone(
            session_id=note.session_id,
            day=local_day(note.started_at, zone),
            planned=_planned(own[key].minutes) if (key := note.session_id) in own else None,
            done={one.part: one.minutes for one in note.minutes},
        )
        for note in states[NOTES].by_session.values()
    ]
    hours.sort(key=lambda one: (one.day, one.session_id), reverse=True)
    return hours, _weeks(hours)


def _planned(minutes: Sequence[PlannedMinutes]) -> dict[Part, int]:
    return {one.part: one.minutes for one in minutes}


def _weeks(hours: Sequence[HourDone]) -> list[Week]:
    settings, _ = hour_settings()
    by_week: dict[date, list[HourDone]] = defaultdict(list)
    for one in hours:
        by_week[one.day - timedelta(days=one.day.weekday())].append(one)
    return [
        Week(
            begins=begins,
            cardio=against_guideline([h.done.get(Part.CARDIO, 0) for h in done], settings),
            strength_sessions=sum(bool(h.done.get(Part.STRENGTH)) for h in done),
            strength_wanted=settings.strength_sessions_a_week,
        )
        for begins, done in sorted(by_week.items(), reverse=True)
    ]


def zones_for(client_id: UUID, rest: int | None, *, beta_blocker: bool) -> Zones:
    """The client's cardio zones. Raises Rejected 400 where her birth date is not on record."""
    details = loading.load(client_id, (IDENTITY,))[IDENTITY].details
    if details is None or details.birth_date is None:
        raise invalid("birth_date", "Her birth date is not on record: enter it first.")
    today = local_day(clock.now(), zone_of(None))
    age = relativedelta(today, details.birth_date).years
    return cardio_zones(age, rest, hour_settings()[0], beta_blocker=beta_blocker)


def load_for(client_id: UUID, limb: LoadedLimb, sets: Sequence[Set]) -> LoadSuggestion | None:
    """A suggested load for a limb from recent sets; lower where it is swollen."""
    swollen = swollen_limbs(client_facts(loading.load(client_id, CLIENT_FACTS)))
    return suggest_load(sets, hour_settings()[0], swelling=limb in swollen)

"""Helps for cardio and strength, and the hours planned against the hours done."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from dateutil.relativedelta import relativedelta

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.clinical.domain.limbs import SIDE_OF, LoadedLimb
from clients.identity.domain.state import IDENTITY
from practice.clock import clock
from practice.core.decisions import Slice, States
from practice.core.localtime import local_day
from practice.core.reasons import invalid
from practice.core.terms import SessionPart
from practice.work import loading
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.selectors.facilities import zone_of
from sessions.measurements.domain.state import MEASUREMENTS
from sessions.notes.domain.findings import ClosedLimb
from sessions.notes.domain.state import NOTES
from sessions.session_split.domain.cardio import (
    CardioZones,
    WeekOfCardio,
    cardio_zones,
    week_against_guideline,
)
from sessions.session_split.domain.events import PlannedMinutes
from sessions.session_split.domain.loading_criteria import (
    BodyFacts,
    LimbFacts,
    LimbLoadingCriteria,
    evaluate_loading_criteria,
)
from sessions.session_split.domain.state import SESSION_SPLITS
from sessions.session_split.domain.strength import LoadSuggestion, StrengthSet, suggest_load
from sessions.session_split.selectors.loading import body_facts, limb_facts
from sessions.session_split.selectors.settings import session_split_settings

LOAD_SLICES: tuple[Slice[Any, Any], ...] = (MEASUREMENTS, CALENDAR, *CLIENT_FACTS)
"""What the loading criteria read."""


@dataclass(frozen=True)
class SessionMinutes:
    """One session's minutes by part: planned by the practitioner (None: by nobody) and done."""

    session_id: UUID
    day: date
    planned: dict[SessionPart, int] | None
    done: dict[SessionPart, int]


@dataclass(frozen=True)
class TrainingWeek:
    """One week from its Monday: cardio against the guideline, sessions with strength work."""

    begins: date
    cardio: WeekOfCardio
    strength_sessions: int
    strength_wanted: int


def training_history(client_id: UUID) -> tuple[list[SessionMinutes], list[TrainingWeek]]:
    """Every signed session, newest first, and the weeks they make up."""
    states = loading.load_states(client_id, (NOTES, SESSION_SPLITS))
    zone, own = zone_of(None), states[SESSION_SPLITS]
    hours = [
        SessionMinutes(
            session_id=note.session_id,
            day=local_day(note.started_at, zone),
            planned=_planned(own[key].minutes) if (key := note.session_id) in own else None,
            done={one.part: one.minutes for one in note.minutes},
        )
        for note in states[NOTES].by_session.values()
    ]
    hours.sort(key=lambda one: (one.day, one.session_id), reverse=True)
    return hours, _weeks(hours)


def _planned(minutes: Sequence[PlannedMinutes]) -> dict[SessionPart, int]:
    return {one.part: one.minutes for one in minutes}


def _weeks(hours: Sequence[SessionMinutes]) -> list[TrainingWeek]:
    settings, _ = session_split_settings()
    by_week: dict[date, list[SessionMinutes]] = defaultdict(list)
    for one in hours:
        by_week[one.day - timedelta(days=one.day.weekday())].append(one)
    return [
        TrainingWeek(
            begins=begins,
            cardio=week_against_guideline(
                [h.done.get(SessionPart.CARDIO, 0) for h in done], settings
            ),
            strength_sessions=sum(bool(h.done.get(SessionPart.STRENGTH)) for h in done),
            strength_wanted=settings.strength_sessions_a_week,
        )
        for begins, done in sorted(by_week.items(), reverse=True)
    ]


def zones_for(client_id: UUID, rest: int | None, *, beta_blocker: bool) -> CardioZones:
    """The client's cardio zones. Raises Rejected 400 without a birth date on record."""
    details = loading.load_states(client_id, (IDENTITY,))[IDENTITY].details
    if details is None or details.birth_date is None:
        raise invalid("birth_date", "The client's birth date is not on record: enter it first.")
    today = local_day(clock.now(), zone_of(None))
    age = relativedelta(today, details.birth_date).years
    return cardio_zones(age, rest, session_split_settings()[0], beta_blocker=beta_blocker)


@dataclass(frozen=True)
class LoadForLimb:
    """Whether a limb may carry load today, and what is suggested if it may."""

    criteria: LimbLoadingCriteria
    suggestion: LoadSuggestion | None


def load_for(
    client_id: UUID, limb: LoadedLimb, sets: Sequence[StrengthSet], *, sedentary: bool | None = None
) -> LoadForLimb:
    """A suggested load for a limb from recent sets; lower where it is swollen, and none while
    the limb may carry no load today by the same criteria as the session split."""
    states = loading.load_states(client_id, (IDENTITY, *LOAD_SLICES))
    details = states[IDENTITY].details
    home = next(iter(details.facility_ids), None) if details else None
    today = local_day(clock.now(), zone_of(home))
    settings = session_split_settings()[0]
    facts, body = _limbs_on(client_id, states, today, sedentary)
    mine = next(one for one in facts if one.permission.limb is limb)
    criteria = evaluate_loading_criteria(mine, body, settings)
    return LoadForLimb(
        criteria,
        suggest_load(sets, settings, swelling=mine.permission.swollen) if criteria.open else None,
    )


def _limbs_on(
    client_id: UUID, states: States, day: date, sedentary: bool | None
) -> tuple[Sequence[LimbFacts], BodyFacts]:
    client = client_facts(states)
    assessor = SessionAssessor(client_id, client)
    permissions = assessor.load(day, assessor.day(states[CALENDAR], day))
    body = body_facts(client, day, sedentary=sedentary)
    return limb_facts(permissions, states[MEASUREMENTS]), body


def closed_to_load(client_id: UUID, day: date) -> list[ClosedLimb]:
    """The limbs that may carry no load on a day, by the same criteria as the session split."""
    states = loading.load_states(client_id, LOAD_SLICES)
    facts, body = _limbs_on(client_id, states, day, None)
    settings = session_split_settings()[0]
    found = [evaluate_loading_criteria(one, body, settings) for one in facts]
    return [
        ClosedLimb(name=one.limb.replace("_", " "), side=SIDE_OF.get(one.limb), reasons=one.reasons)
        for one in found
        if not one.open
    ]

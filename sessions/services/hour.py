"""The split of a session's hour: what is suggested, and the practitioner's own."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from clients.domain.clinical import CLIENT_FACTS, client_facts
from practice.domain.decisions import Context, Decided, Slice, States
from practice.domain.terms import Activity, Allowance, Credential, Mode, Part, Side
from practice.eventlog.runner import Outcome, Work
from practice.models import Facility
from practice.selectors import limits_on
from sessions.domain.calendar.events import Purpose
from sessions.domain.calendar.modes import narrower
from sessions.domain.calendar.state import CALENDAR, Booked
from sessions.domain.hour.events import HourSplit, PlannedMinutes
from sessions.domain.hour.history import (
    affected_sides,
    body_facts,
    limb_facts,
    marked_findings,
    sides_at_risk,
)
from sessions.domain.hour.settings import HourSettings
from sessions.domain.hour.splitting import HourFacts, check_own_split, suggest_split
from sessions.domain.hour.state import HOUR
from sessions.domain.motion.deficits import deficits, goal_lookup
from sessions.domain.motion.state import MOTION
from sessions.domain.notes.state import NOTES
from sessions.models import Session
from sessions.selectors.hoursettings import hour_settings
from sessions.selectors.measurement import measurement_settings, norms
from sessions.services.clientfacts import fatigue_warning, operation_regions
from sessions.services.judging import Judge

SLICES: tuple[Slice[Any, Any], ...] = (MOTION, CALENDAR, *CLIENT_FACTS, NOTES, HOUR)
LAST = 5

Payer = Callable[[UUID, date, Credential], "tuple[Part, ...] | None"]
payers: list[Payer] = []
"""A higher floor registers who knows which parts a client's payer pays for; None: nobody else
pays."""


@dataclass(frozen=True)
class Day:
    """What the practitioner says about the client that is not on record."""

    sedentary: bool | None = None
    tolerates_little: bool | None = None


def _paid(client_id: UUID, session: Booked) -> tuple[Part, ...] | None:
    known = [payer(client_id, session.local_date, session.credential) for payer in payers]
    return next((parts for parts in known if parts is not None), None)


def _stretching_allowed(session: Booked) -> bool:
    """Whether the law lets this credential at least instruct stretching there that day."""
    place = Facility.objects.filter(pk=session.facility_id).first()
    if place is None:
        return True
    rows = limits_on(place.jurisdiction, session.local_date, session.credential)
    return not any(
        row.activity == Activity.EXERCISE_INSTRUCTION and row.allowance == Allowance.NOT_ALLOWED
        for row in rows
    )


def _most(client_id: UUID, states: States, session: Booked) -> Mode:
    """The widest that anything may be: as answered today; before that, as it may be if the
    answers bring nothing new, unless those of an earlier session that day close it."""
    case = Judge(client_id, client_facts(states)).now(session, states[CALENDAR])
    judged = case.judged().mode
    if session.answers is None and judged is not Mode.NOT_TODAY:
        judged = case.planned().mode
    return narrower(session.mode, judged)


def _last_sessions(states: States, session: Booked) -> tuple[dict[Part, int], ...]:
    earlier = [n for n in states[NOTES].by_session.values() if n.started_at < session.starts_at]
    newest = sorted(earlier, key=lambda n: n.started_at, reverse=True)[:LAST]
    return tuple({m.part: m.minutes for m in note.minutes} for note in newest)


def hour_facts(client_id: UUID, states: States, session: Booked, day: Day) -> HourFacts:
    """Everything that the split of one session is made from."""
    client, motion = client_facts(states), states[MOTION]
    regions, answers = operation_regions(), session.answers
    sides = affected_sides(client, regions) or frozenset({Side.LEFT, Side.RIGHT})
    tired = answers is not None and (answers.fatigue or 0) >= fatigue_warning()
    goal_of = goal_lookup(motion, measurement_settings(), norms())
    return HourFacts(
        booked_minutes=round(session.length.total_seconds() / 60),
        credential=session.credential,
        evaluation=session.purpose is Purpose.EVALUATION,
        deficits=deficits(motion, goal_of, sides),
        posture_findings=marked_findings(motion),
        body=body_facts(client, session.local_date, sedentary=day.sedentary),
        limbs=limb_facts(
            client,
            motion,
            session.local_date,
            regions=regions,
            pain=answers.pain_now if answers else None,
        ),
        tolerates_little=tired if day.tolerates_little is None else day.tolerates_little,
        at_risk_of_swelling=bool(sides_at_risk(client)),
        stretching_allowed=_stretching_allowed(session),
        paid=_paid(client_id, session),
        last_sessions=_last_sessions(states, session),
        most=_most(client_id, states, session),
    )


def _planned(minutes: Mapping[Part, int]) -> tuple[PlannedMinutes, ...]:
    return tuple(PlannedMinutes(part=part, minutes=minutes.get(part, 0)) for part in Part)


def _decide(
    facts: HourFacts,
    settings: HourSettings,
    session_id: UUID,
    minutes: Mapping[Part, int],
    reason: str,
    revision: int,
) -> Sequence[HourSplit]:
    crossed = check_own_split(minutes, facts, settings, reason)
    suggested = {p.part: p.minutes for p in suggest_split(facts, settings).parts}
    return [
        HourSplit(
            session_id=session_id,
            minutes=_planned(minutes),
            suggested=_planned(suggested),
            crossed=tuple(crossed),
            reason=reason,
            settings_revision=revision,
        )
    ]


def hour_split(
    work: Work,
    *,
    session: Session,
    minutes: Mapping[Part, int],
    reason: str = "",
    day: Day | None = None,
    if_match: int | None = None,
) -> Outcome:
    """The practitioner's own split of a session; it wins. A repeat changes nothing."""
    work.lock(session.client_id)
    settings, revision = hour_settings()

    def decide(states: States, ctx: Context) -> Decided:
        booked = states[CALENDAR].session(session.pk)
        facts = hour_facts(session.client_id, states, booked, day or Day())
        made = _decide(facts, settings, session.pk, minutes, reason, revision)
        return [] if states[HOUR].get(session.pk) == made[0] else made

    outcome = work.execute(session.client_id, SLICES, decide, if_match=if_match)
    found = outcome.first(HourSplit)
    outcome.warnings += list(found.crossed) if found else []
    return outcome

"""Which limbs are watched: those whose latest circumferences say refer."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from uuid import UUID

from clients.clinical.domain.facts import CLIENT_FACTS, ClientFacts, client_facts
from clients.clinical.domain.operations import known_operations
from clients.clinical.domain.swelling_risk import arms_at_risk
from clients.health.domain.terms import Limb
from clients.permissions.domain.inputs import SwollenLimb
from practice.clock import clock
from practice.core.localtime import local_day
from practice.core.terms import Side
from practice.work import loading
from sessions.calendar.selectors.facilities import zone_of
from sessions.measurements.domain.events import CircumferencesMeasured
from sessions.measurements.domain.state import MEASUREMENTS, CircumferencesState, MeasurementsState
from sessions.measurements.domain.swelling import (
    SwellingEvaluation,
    evaluate_circumferences,
    growing_sides,
)
from sessions.measurements.models import Circumferences
from sessions.measurements.selectors.settings import swelling_settings


def circumferences_of_row(row: Circumferences) -> CircumferencesMeasured:
    """What was measured, as a row of the read table keeps it."""
    return CircumferencesMeasured(
        circumferences_id=row.pk,
        session_id=row.session_id,
        interval_cm=row.interval_cm,
        left=tuple(row.left),
        right=tuple(row.right),
        baseline=row.baseline,
        new_heaviness=row.new_heaviness,
        rater_id=row.rater_id,
    )


class SwellingWatch:
    """The circumferences of one client, read once; what they say depends on the arms at risk.

    ``known_at``: as they were known at an instant.
    """

    def __init__(self, client_id: UUID, known_at: datetime | None = None) -> None:
        self._settings = swelling_settings(known_at)
        if known_at is not None:
            known = loading.load_states(client_id, (MEASUREMENTS,), known_at=known_at)
            self._sets = [one.measured for one in reversed(known[MEASUREMENTS].circumferences)]
            return
        rows = Circumferences.objects.filter(client_id=client_id).order_by(
            "-taken_at", "-recorded_at", "-version", "-id"
        )
        self._sets = [circumferences_of_row(row) for row in rows]

    def limbs(self, client: ClientFacts, day: date) -> tuple[SwollenLimb, ...]:
        """The arms whose latest circumferences say refer, by the sides at risk that day."""
        if not self._sets:
            return ()
        latest, *earlier = self._sets
        baseline = next((one for one in earlier if one.baseline), None)
        evaluated = evaluate_circumferences(
            latest, baseline, arms_at_risk(client, day), self._settings
        )
        return _arms(evaluated.refer_sides)

    def growing(self, client: ClientFacts, day: date) -> tuple[SwollenLimb, ...]:
        """The arms that grew between the two latest sets of circumferences."""
        if not self._sets:
            return ()
        latest, *earlier = self._sets[:2]
        before = earlier[0] if earlier else None
        at_risk = arms_at_risk(client, day)
        return _arms(growing_sides(latest, before, at_risk, self._settings))


def _arms(sides: Iterable[Side]) -> tuple[SwollenLimb, ...]:
    return tuple(SwollenLimb(limb=Limb.ARM, side=Side(side)) for side in sides)


def circumferences_evaluated(
    client_id: UUID,
) -> list[tuple[CircumferencesState, SwellingEvaluation]]:
    """Every set of circumferences with what it says, newest first."""
    states = loading.load_states(client_id, (MEASUREMENTS, *CLIENT_FACTS))
    motion, client = states[MEASUREMENTS], client_facts(states)
    today = local_day(clock.now(), zone_of(None))
    settings, at_risk = swelling_settings(), arms_at_risk(client, today)
    evaluated: list[tuple[CircumferencesState, SwellingEvaluation]] = []
    for one in reversed(motion.circumferences):
        day = one.occurred_at.date()
        known = [op.on for op in known_operations(client, day) if op.on is not None]
        months = _months(max(known), day) if known else None
        found = evaluate_circumferences(
            one.measured,
            _baseline(motion, one),
            at_risk,
            settings,
            months_since_operation=months,
        )
        evaluated.append((one, found))
    return evaluated


def _months(since: date, day: date) -> float:
    return (day - since).days / 30.44


def _baseline(motion: MeasurementsState, now: CircumferencesState) -> CircumferencesMeasured | None:
    """The latest baseline that was taken before, never the set itself."""
    earlier = [
        one.measured
        for one in motion.circumferences
        if one.measured.baseline and one.order < now.order
    ]
    return earlier[-1] if earlier else None

"""A session's plan: what may be done today, the stretches she is on, readings, the split."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from clients.domain.permissions.outputs import Judgement, Verdict
from practice.domain.reasons import Reason
from practice.domain.terms import Mode, Side, Technique
from sessions.domain.calendar.modes import narrower
from sessions.domain.calendar.state import Booked
from sessions.models import Prescription, Reading, Session
from sessions.selectors.hour import SessionSplit, session_split
from sessions.selectors.order import planned_order
from sessions.selectors.permissions import session_permissions
from sessions.services.hour import Day

ON_PROGRAMME = ("prescribed", "active")


@dataclass(frozen=True)
class PlannedTechnique:
    """One technique of a stretch she is on: its verdicts, and the narrowest of them."""

    technique: Technique
    mode: Mode
    verdicts: list[Verdict]


@dataclass(frozen=True)
class PlannedStretch:
    """A stretch she is on, technique by technique."""

    row: Prescription
    techniques: list[PlannedTechnique]


@dataclass(frozen=True)
class Plan:
    """Everything that a practitioner looks at when she opens the session."""

    row: Session
    session: Booked
    judgement: Judgement
    stretches: list[PlannedStretch]
    readings: list[Reading]
    split: SessionSplit
    warnings: list[Reason]


def session_plan(row: Session) -> Plan:
    """The plan of one session as of now; computed when asked."""
    session, judgement = session_permissions(row.client_id, row.pk)
    if judgement.mode is Mode.NOT_TODAY:
        # A red flag of another session that day: the plan's session says the same.
        row.mode = Mode.NOT_TODAY.value
    on_it = Prescription.objects.filter(client_id=row.client_id, standing__in=ON_PROGRAMME)
    planned = [_planned(one, judgement) for one in on_it.order_by("prescribed_at", "id")]
    order, warnings = planned_order(row.client_id, [one.row.stretch for one in planned])
    return Plan(
        row=row,
        session=session,
        judgement=judgement,
        stretches=sorted(planned, key=lambda one: order.index(one.row.stretch)),
        readings=last_readings(row.client_id),
        split=session_split(row, Day()),
        warnings=warnings,
    )


def last_readings(client_id: UUID) -> list[Reading]:
    """The last reading of every movement, side and kind of motion."""
    latest: dict[tuple[str, str, str], Reading] = {}
    for one in Reading.objects.filter(client_id=client_id).order_by("taken_at", "version", "id"):
        latest[one.movement, one.side, one.motion] = one
    return [latest[key] for key in sorted(latest)]


def _planned(row: Prescription, judgement: Judgement) -> PlannedStretch:
    side = Side(row.side)
    techniques = []
    for name in row.techniques:
        verdicts = [
            one
            for one in judgement.verdicts
            if one.stretch == row.stretch and one.technique == name and _concerns(one.side, side)
        ]
        mode = Mode.HANDS_ON if verdicts else narrower(Mode.SELF_DIRECTED, judgement.mode)
        for verdict in verdicts:
            mode = narrower(mode, verdict.mode)
        techniques.append(PlannedTechnique(Technique(name), mode, verdicts))
    return PlannedStretch(row, techniques)


def _concerns(verdict: Side, wanted: Side) -> bool:
    return Side.BOTH in (verdict, wanted) or verdict is wanted

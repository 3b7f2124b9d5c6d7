"""A session's plan: what may be done today, the stretches prescribed, readings, the split."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.clinical.domain.swelling_risk import at_risk_of_swelling
from clients.permissions.domain.results import SessionPermissions, StretchPermission, narrower
from practice.core.reasons import Reason
from practice.core.terms import Mode, Side, Technique
from practice.work import loading
from sessions.assessment.selectors.permissions import session_permissions
from sessions.calendar.domain.state import SessionState
from sessions.calendar.models import Session
from sessions.catalogue.domain.order import order_rank, order_warnings
from sessions.catalogue.selectors import catalogue_specs
from sessions.measurements.domain.follow_up import Loss, losses_in, slices_followed
from sessions.measurements.domain.state import MEASUREMENTS
from sessions.measurements.models import Reading
from sessions.measurements.selectors.settings import measurement_settings
from sessions.session_split.selectors.facts import SplitDayFacts
from sessions.session_split.selectors.split import SplitOfSession, session_split_get
from sessions.stretches.models import Prescription


def planned_order(
    client_id: UUID, codes: Sequence[str], day: date
) -> tuple[list[str], list[Reason]]:
    """The stretches in the order that suits the client, and what is missing; as given for one
    who is not at risk of swelling."""
    client = client_facts(loading.load_states(client_id, CLIENT_FACTS))
    if not at_risk_of_swelling(client, day):
        return list(codes), []
    specs = {spec.code: spec for spec in catalogue_specs()[0]}
    suited = sorted(codes, key=lambda code: order_rank(specs.get(code)))
    return suited, order_warnings(suited, specs)


CURRENT_STATUSES = ("prescribed", "active")


@dataclass(frozen=True)
class PlannedTechnique:
    """One technique of a prescribed stretch: its permissions, and the narrowest mode of them."""

    technique: Technique
    mode: Mode
    stretch_permissions: list[StretchPermission]


@dataclass(frozen=True)
class PlannedStretch:
    """A prescribed stretch, technique by technique."""

    row: Prescription
    techniques: list[PlannedTechnique]


@dataclass(frozen=True)
class SessionPlan:
    """Everything that a practitioner looks at when opening the session."""

    row: Session
    session: SessionState
    permissions: SessionPermissions
    stretches: list[PlannedStretch]
    readings: list[Reading]
    split: SplitOfSession
    warnings: list[Reason]
    losses: list[Loss]


def session_plan_get(row: Session) -> SessionPlan:
    """The plan of one session as of now; computed when asked."""
    session, permissions = session_permissions(row.client_id, row.pk)
    if permissions.mode is Mode.NOT_TODAY:
        # A red flag of another session that day: the plan's session says the same.
        row.mode = Mode.NOT_TODAY.value
    on_it = Prescription.objects.filter(client_id=row.client_id, status__in=CURRENT_STATUSES)
    planned = [planned_stretch(one, permissions) for one in on_it.order_by("prescribed_at", "id")]
    order, warnings = planned_order(
        row.client_id, [one.row.stretch for one in planned], session.local_date
    )
    return SessionPlan(
        row=row,
        session=session,
        permissions=permissions,
        stretches=sorted(planned, key=lambda one: order.index(one.row.stretch)),
        readings=last_readings(row.client_id),
        split=session_split_get(row, SplitDayFacts()),
        warnings=warnings,
        losses=losses_of(row.client_id),
    )


def losses_of(client_id: UUID) -> list[Loss]:
    """What the latest readings have lost against discharges that stand."""
    states = loading.load_states(client_id, (MEASUREMENTS, *slices_followed()))
    return losses_in(states, measurement_settings())


def last_readings(client_id: UUID) -> list[Reading]:
    """The last reading of every movement, side and kind of motion."""
    latest: dict[tuple[str, str, str], Reading] = {}
    readings = Reading.objects.filter(client_id=client_id)
    for one in readings.order_by("taken_at", "recorded_at", "version", "id"):
        latest[one.movement, one.side, one.motion] = one
    return [latest[key] for key in sorted(latest)]


def planned_stretch(row: Prescription, permissions: SessionPermissions) -> PlannedStretch:
    """A stretch of the programme by what the session permits; the narrowest side counts."""
    side = Side(row.side)
    techniques = []
    for name in row.techniques:
        stretch_permissions = [
            one
            for one in permissions.stretch_permissions
            if one.stretch == row.stretch and one.technique == name and _concerns(one.side, side)
        ]
        mode = (
            Mode.HANDS_ON if stretch_permissions else narrower(Mode.SELF_DIRECTED, permissions.mode)
        )
        for stretch_permission in stretch_permissions:
            mode = narrower(mode, stretch_permission.mode)
        techniques.append(PlannedTechnique(Technique(name), mode, stretch_permissions))
    return PlannedStretch(row, techniques)


def _concerns(stretch_permission: Side, wanted: Side) -> bool:
    return Side.BOTH in (stretch_permission, wanted) or stretch_permission is wanted

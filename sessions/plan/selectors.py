"""A session's plan: what may be done today, the stretches prescribed, readings, the split."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from clients.clinical.domain.facts import ClientFacts, client_facts
from clients.clinical.domain.swelling_risk import at_risk_of_swelling
from clients.permissions.domain.results import SessionPermissions, StretchPermission, narrower
from practice.core.reasons import Reason
from practice.core.terms import Mode, Side, Technique
from practice.work import loading
from sessions.assessment.domain.assessment import Assessment
from sessions.assessment.selectors.permissions import evaluated_session
from sessions.calendar.domain.session_state import SessionState
from sessions.calendar.models import Session
from sessions.catalogue.domain.content import StretchContent
from sessions.catalogue.domain.order import order_rank, order_warnings
from sessions.catalogue.selectors import catalogue
from sessions.measurements.domain.deficits import goal_lookup, shortfalls
from sessions.measurements.domain.follow_up import (
    Loss,
    losses_in,
    prompts_on_errors,
    slices_followed,
)
from sessions.measurements.domain.state import MEASUREMENTS, MeasurementsState
from sessions.measurements.models import Reading
from sessions.measurements.selectors.settings import measurement_settings, norms
from sessions.notes.selectors.co_signature import co_signature_warnings
from sessions.plan.domain.proposals import (
    Proposal,
    is_permitted,
    permitted_codes,
    propose,
    stands_instead,
)
from sessions.session_split.selectors.facts import SLICES, SplitDayFacts
from sessions.session_split.selectors.split import SplitOfSession, split_of
from sessions.stretches.models import Prescription
from sessions.stretches.selectors.programme import CURRENT_STATUSES


def planned_order(
    client: ClientFacts, codes: Sequence[str], day: date, permitted: Collection[str]
) -> tuple[list[str], list[Reason]]:
    """The stretches in the order that suits the client, and what is missing; as given for one
    who is not at risk of swelling."""
    if not at_risk_of_swelling(client, day):
        return list(codes), []
    specs = {spec.code: spec for spec in catalogue().specs}
    suited = sorted(codes, key=lambda code: order_rank(specs.get(code)))
    return suited, order_warnings(suited, specs, permitted)


@dataclass(frozen=True)
class PlannedTechnique:
    """One technique of a prescribed stretch: its permissions, and the narrowest mode of them."""

    technique: Technique
    mode: Mode
    stretch_permissions: list[StretchPermission]


@dataclass(frozen=True)
class PlannedStretch:
    """A prescribed stretch: the techniques that are permitted, and those that are ``closed``."""

    row: Prescription
    techniques: list[PlannedTechnique]
    closed: list[PlannedTechnique]


@dataclass(frozen=True)
class NotPermitted:
    """A technique of a prescribed stretch that may not be done; codes that stand ``instead``."""

    row: Prescription
    closed: PlannedTechnique
    instead: list[str]


@dataclass(frozen=True)
class SessionPlan:
    """Everything that a practitioner looks at when opening the session."""

    row: Session
    session: SessionState
    case: Assessment
    permissions: SessionPermissions
    stretches: list[PlannedStretch]
    readings: list[Reading]
    split: SplitOfSession
    warnings: list[Reason]
    losses: list[Loss]
    not_permitted: list[NotPermitted]
    proposals: list[Proposal]


def session_plan_get(row: Session) -> SessionPlan:
    """The plan of one session as of now; computed when asked."""
    states = loading.load_states(row.client_id, (*SLICES, *slices_followed()))
    judged = evaluated_session(row.client_id, states, row.pk)
    session, permissions = judged.session, judged.permissions
    if permissions.mode is Mode.NOT_TODAY:
        # A red flag of another session that day: the plan's session says the same.
        row.mode = Mode.NOT_TODAY.value
    on_it = Prescription.objects.filter(client_id=row.client_id, status__in=CURRENT_STATUSES)
    planned = [planned_stretch(one, permissions) for one in on_it.order_by("prescribed_at", "id")]
    order, warnings = planned_order(
        client_facts(states),
        [one.row.stretch for one in planned if one.techniques],
        session.local_date,
        permitted_codes(permissions),
    )
    contents = catalogue().contents
    return SessionPlan(
        row=row,
        session=session,
        case=judged.case,
        permissions=permissions,
        stretches=sorted(
            (one for one in planned if one.techniques), key=lambda one: order.index(one.row.stretch)
        ),
        not_permitted=not_permitted_on(planned, permissions, contents),
        proposals=_proposals(states[MEASUREMENTS], planned, permissions, contents),
        readings=last_readings(row.client_id),
        split=split_of(states, row, judged, SplitDayFacts()),
        warnings=[*warnings, *prompts_on_errors(states)],
        losses=losses_in(states, measurement_settings()),
    )


def co_signature_of_plan(plan: SessionPlan, now: datetime) -> list[Reason]:
    """That the note of what is planned by hand will wait for a co-signature, and of whom."""
    by_hand = {
        one.technique for one in plan.permissions.stretch_permissions if one.mode is Mode.HANDS_ON
    }
    return co_signature_warnings(plan.case.facts, plan.session, by_hand, now)


def _proposals(
    motion: MeasurementsState,
    planned: Sequence[PlannedStretch],
    permissions: SessionPermissions,
    catalogue: Mapping[str, StretchContent],
) -> list[Proposal]:
    settings = measurement_settings()
    return propose(
        catalogue,
        permissions,
        list(motion.latest_findings().values()),
        shortfalls(motion, goal_lookup(motion, settings, norms()), settings),
        {(one.row.stretch, Side(one.row.side)) for one in planned},
    )


def not_permitted_on(
    planned: Sequence[PlannedStretch],
    permissions: SessionPermissions,
    catalogue: Mapping[str, StretchContent],
) -> list[NotPermitted]:
    """What of the programme may not be done today, and what stands instead."""
    permitted = permitted_codes(permissions)
    return [
        NotPermitted(
            one.row,
            closed,
            stands_instead(one.row.stretch, catalogue, permitted - {one.row.stretch}),
        )
        for one in planned
        for closed in one.closed
    ]


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
    closed = [one for one in techniques if _closed(one, permissions)]
    return PlannedStretch(row, [one for one in techniques if one not in closed], closed)


def _closed(one: PlannedTechnique, permissions: SessionPermissions) -> bool:
    """Whether a technique is permitted on no side; what was not evaluated follows the session."""
    if not one.stretch_permissions:
        return one.mode is Mode.NOT_TODAY
    return not any(is_permitted(side, permissions) for side in one.stretch_permissions)


def _concerns(stretch_permission: Side, wanted: Side) -> bool:
    return Side.BOTH in (stretch_permission, wanted) or stretch_permission is wanted

"""A session's plan in short, as a practitioner reads it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import msgspec

from clients.identity.display_names import with_display_names
from clients.permissions.domain.results import LoadPermission
from practice.core.localtime import zone_named
from practice.core.reasons import Reason
from practice.core.terms import Role, Side
from sessions.assessment.domain.short_form import outcomes_of, short_permissions
from sessions.assessment.short_rendering import (
    ReasonNumbers,
    named,
    serialize_modes,
    serialize_outcome,
    short_session,
    without_empty,
)
from sessions.booking.serializers.arrival import serialize_arrival_answers
from sessions.calendar.models import Session
from sessions.measurements.domain.follow_up import loss_prompt
from sessions.plan.domain.short_plan import (
    PlannedLine,
    alike_lines,
    alike_proposals,
    counts_of_others,
    not_evaluated,
)
from sessions.plan.selectors import PlannedTechnique, SessionPlan
from sessions.plan.short_serializers import (
    OpenedSessionOutputSerializer,
    ShortPlanOutputSerializer,
)
from sessions.session_split.selectors.split import SplitOfSession
from sessions.stretches.models import Prescription

Line = PlannedLine[Prescription]


def serialize_short_plan(role: Role, plan: SessionPlan, names: Mapping[str, str]) -> Any:
    """A plan in short. ``names``: of the catalogue, by code."""
    numbers = ReasonNumbers(role)
    found = _short_plan(role, plan, names, numbers)
    return ShortPlanOutputSerializer({**found, "reason_texts": numbers.texts()}).data


def serialize_opened(
    role: Role, plan: SessionPlan, names: Mapping[str, str], warnings: Sequence[Reason]
) -> Any:
    """The plan in short as a session is opened, with what the opening warns of."""
    numbers = ReasonNumbers(role)
    opened = {
        **_short_plan(role, plan, names, numbers),
        "opened_at": plan.session.opened_at,
        "opening_warnings": numbers.of(warnings),
    }
    return OpenedSessionOutputSerializer({**opened, "reason_texts": numbers.texts()}).data


def _short_plan(
    role: Role, plan: SessionPlan, names: Mapping[str, str], numbers: ReasonNumbers
) -> dict[str, Any]:
    short = short_permissions(plan.permissions, _load(plan.split))
    lines = planned_lines(plan, short.reasons)
    return {
        **short_session(role, plan.permissions, short, numbers),
        "session": _session(plan.row, numbers),
        "answers": _answers(plan),
        "programme": [_programme(some, names, numbers) for some in alike_lines(lines)],
        "proposals": [
            {
                "stretches": named(one.modes.stretches, names),
                "by_side": [serialize_modes(modes, numbers) for modes in one.modes.by_side],
                "reasons": numbers.of(one.reasons),
            }
            for one in alike_proposals(plan.proposals)
        ],
        "other_stretches": counts_of_others(plan.permissions),
        "warnings": numbers.of(plan.warnings),
        "readings": [
            without_empty({name: getattr(one, name) for name in _READING_FIELDS})
            for one in plan.readings
        ],
        "losses": [
            {
                "prescription_id": one.prescription_id,
                "reading_id": one.reading_id,
                "prompt": numbers.of([loss_prompt(one)])[0],
            }
            for one in plan.losses
        ],
        "split": _split(plan.split, numbers),
    }


_READING_FIELDS = ("movement", "side", "motion", "degrees", "instrument", "pain", "taken_at")


def planned_lines(plan: SessionPlan, common: tuple[Reason, ...]) -> list[Line]:
    """The prescriptions in the order of the plan, then those of which nothing is permitted."""
    by_row: dict[Any, tuple[Prescription, list[PlannedTechnique], list[str]]] = {}
    for planned in plan.stretches:
        by_row[planned.row.pk] = (planned.row, list(planned.techniques), [])
    for one in plan.not_permitted:
        row, techniques, _ = by_row.get(one.row.pk, (one.row, [], []))
        by_row[one.row.pk] = (row, [*techniques, one.closed], one.instead)
    lines = []
    for row, techniques, instead in by_row.values():
        asked = [verdict for one in techniques for verdict in one.stretch_permissions]
        unasked = [one for one in techniques if not one.stretch_permissions]
        outcomes = (
            *outcomes_of(asked, common),
            *(not_evaluated([one.technique], Side(row.side), one.mode) for one in unasked),
        )
        lines.append(PlannedLine(row, outcomes, tuple(instead)))
    return lines


def _load(split: SplitOfSession) -> list[LoadPermission]:
    """The limbs by their loading criteria: what is measured narrows what permissions say."""
    return [
        LoadPermission(limb=one.limb, open=one.open, reasons=one.reasons, cautions=one.cautions)
        for one in split.suggested.loading_criteria
    ]


def _session(row: Session, numbers: ReasonNumbers) -> dict[str, Any]:
    zone = zone_named(row.zone)
    (client_name,) = [getattr(one, "client_name", "") for one in with_display_names([row])]
    names = ("id", "client_id", "status", "purpose", "planned_mode", "flagged")
    return {
        **{name: getattr(row, name) for name in names},
        "client_name": client_name,
        "starts_at": row.starts_at.astimezone(zone),
        "ends_at": row.ends_at.astimezone(zone),
        **without_empty(
            {
                "flag_reasons": numbers.of(msgspec.convert(row.flag_reasons, list[Reason])),
                "warnings": numbers.of(msgspec.convert(row.warnings, list[Reason])),
                "stopped_at_minute": row.stopped_at_minute,
            }
        ),
    }


def _answers(plan: SessionPlan) -> Any:
    answers = serialize_arrival_answers(plan.session.answers)
    if answers is None:
        return None
    return {name: value for name, value in answers.items() if value not in (None, "")}


def _programme(
    lines: list[Line], names: Mapping[str, str], numbers: ReasonNumbers
) -> dict[str, Any]:
    return {
        "prescriptions": [
            {
                "prescription_id": one.row.pk,
                **{n: getattr(one.row, n) for n in ("stretch", "name", "side", "status")},
                "doses": [without_empty(dose) for dose in one.row.doses],
            }
            for one in lines
        ],
        "outcomes": [serialize_outcome(one, numbers) for one in lines[0].outcomes],
        **without_empty({"instead": named(lines[0].instead, names)}),
    }


def _split(split: SplitOfSession, numbers: ReasonNumbers) -> dict[str, Any]:
    own = split.practitioner_split
    return {
        "booked_minutes": split.suggested.booked_minutes,
        "suggested": [
            {"part": one.part, "minutes": one.minutes}
            | without_empty({"payable": one.payable, "note": one.note or None})
            for one in split.suggested.parts
        ],
        "reasons": numbers.of(split.suggested.reasons),
        **without_empty(
            {
                "practitioner_split": {one.part.value: one.minutes for one in own.minutes}
                if own
                else None,
                "practitioner_reason": (own.reason or None) if own else None,
            }
        ),
    }

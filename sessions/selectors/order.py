"""Warnings on the order of a session, read where a plan is shown or a note was signed."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from clients.domain.clinical import CLIENT_FACTS, client_facts
from clients.domain.risk import at_risk_of_arm_swelling
from practice.domain.reasons import Reason
from practice.eventlog import loading
from sessions.domain.programme.order import order_warnings, turn_of
from sessions.models import Note
from sessions.selectors.catalogue import catalogue_specs


def planned_order(client_id: UUID, codes: Sequence[str]) -> tuple[list[str], list[Reason]]:
    """The stretches in the order that suits her, and what is missing; as given where she is
    not at risk of arm swelling."""
    if not at_risk_of_arm_swelling(client_facts(loading.load(client_id, CLIENT_FACTS))):
        return list(codes), []
    specs = {spec.code: spec for spec in catalogue_specs()[0]}
    suited = sorted(codes, key=lambda code: turn_of(specs.get(code)))
    return suited, order_warnings(suited, specs)


def order_of_note(note: Note) -> list[Reason]:
    """What was out of order in a signed note, for someone at risk of arm swelling."""
    if not at_risk_of_arm_swelling(client_facts(loading.load(note.client_id, CLIENT_FACTS))):
        return []
    lines = sorted(
        enumerate(note.lines),
        key=lambda one: (one[1].get("minute") is None, one[1].get("minute") or 0, one[0]),
    )
    specs = {spec.code: spec for spec in catalogue_specs()[0]}
    return order_warnings([line["stretch"] for _, line in lines], specs)

"""Warnings on the order of a session, read where a plan is shown or a note was signed."""

from __future__ import annotations

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.clinical.domain.swelling_risk import at_risk_of_swelling
from practice.core.reasons import Reason
from practice.work import loading
from sessions.catalogue.domain.order import order_warnings
from sessions.catalogue.selectors import catalogue_specs
from sessions.notes.models import Note


def order_of_note(note: Note) -> list[Reason]:
    """What was out of order in a signed note, for someone at risk of arm swelling."""
    client = client_facts(loading.load_states(note.client_id, CLIENT_FACTS))
    if not at_risk_of_swelling(client, note.local_date):
        return []
    lines = sorted(
        enumerate(note.lines),
        key=lambda one: (one[1].get("minute") is None, one[1].get("minute") or 0, one[0]),
    )
    specs = {spec.code: spec for spec in catalogue_specs()[0]}
    return order_warnings([line["stretch"] for _, line in lines], specs)

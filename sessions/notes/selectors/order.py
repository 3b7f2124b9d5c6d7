"""Warnings on the order of a session, read where a plan is shown or a note was signed."""

from __future__ import annotations

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.clinical.domain.swelling_risk import at_risk_of_swelling
from practice.core.reasons import Reason
from practice.core.terms import Mode
from practice.work import loading
from sessions.calendar.domain.narrowing import verdicts_in
from sessions.calendar.domain.session_state import SessionState
from sessions.calendar.domain.state import CALENDAR
from sessions.catalogue.domain.order import order_warnings
from sessions.catalogue.selectors import catalogue
from sessions.notes.models import Note


def order_of_note(note: Note) -> list[Reason]:
    """What was out of order in a signed note, for someone at risk of arm swelling. Nothing is
    asked for that was closed in the session."""
    states = loading.load_states(note.client_id, (*CLIENT_FACTS, CALENDAR))
    client = client_facts(states)
    if not at_risk_of_swelling(client, note.local_date):
        return []
    lines = sorted(
        enumerate(note.lines),
        key=lambda one: (one[1].get("minute") is None, one[1].get("minute") or 0, one[0]),
    )
    specs = {spec.code: spec for spec in catalogue().specs}
    permitted = _permitted_then(states[CALENDAR].sessions.get(note.session_id))
    return order_warnings([line["stretch"] for _, line in lines], specs, permitted)


def _permitted_then(session: SessionState | None) -> frozenset[str] | None:
    """The stretches of which something was permitted in the session, by the verdict that it keeps;
    None where it keeps none."""
    verdicts = verdicts_in(session.permissions) if session else {}
    if not verdicts:
        return None
    return frozenset(key[0] for key, one in verdicts.items() if one.mode is not Mode.NOT_TODAY)

"""What this floor registers: slices, reactor, adviser, projectors, sentences, survivors of an
erasure and what stands open before one."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from billing.domain import disclosed_sentences, sentences  # noqa: F401  register when imported
from billing.domain.advising import BillingSettings, advise_booking
from billing.domain.cover import COVER
from billing.domain.disclosed_rows import disclosure_row
from billing.domain.disclosed_surviving import SURVIVORS
from billing.domain.disclosing import DISCLOSURES
from billing.domain.projecting import authorization_row, visit_row
from billing.domain.reacting import Facts, react_to_note
from billing.selectors.openbusiness import open_business
from billing.selectors.overlaps import overlapping
from billing.selectors.paidparts import paid_parts
from billing.selectors.payers import payer_rules
from billing.services import ahead
from practice.domain.decisions import Adviser, Reactor, States, parts
from practice.domain.events import Recorded
from practice.selectors import settings_group
from practice.services.hooks import on_before_erasure, register_settings
from sessions.domain.calendar.state import CALENDAR
from sessions.domain.notes.events import AddendumAdded, NoteSigned
from sessions.services.hour import payers

PROJECTORS = (authorization_row, visit_row, disclosure_row)
TOLD = (ahead.client_of_authorization, ahead.client_of_visit)
"""Registered as their module is imported."""


def _facts(client_id: UUID, states: States, recorded: Recorded) -> Facts:
    """The settings, as they stand now, of the payers of a client's authorizations, and
    whether the practitioner was with someone else in the minutes of the note."""
    rules = payer_rules({one.payer_id for one in states[COVER].authorizations.values()})
    signed = recorded.data
    overlaps = overlapping(client_id, signed) if isinstance(signed, NoteSigned) else ()
    return Facts(rules, overlaps)


def _settings(client_id: UUID, states: States, facts: Any) -> BillingSettings:
    return settings_group("billing", BillingSettings)[0]


DRAW = Reactor(
    name="draw a visit",
    on=(NoteSigned, AddendumAdded),
    slices=(COVER,),
    react=react_to_note,
    gather=_facts,
)
ADVISE = Adviser(
    question="session.booking",
    slices=(COVER, CALENDAR),
    advise=advise_booking,
    gather=_settings,
)


def register() -> None:
    """Called once at start-up; safe to repeat."""
    parts.add_slices(COVER, DISCLOSURES)
    register_settings("billing", BillingSettings)
    if DRAW not in parts.reactors:
        parts.reactors.append(DRAW)
    if ADVISE not in parts.advisers:
        parts.advisers.append(ADVISE)
    if SURVIVORS not in parts.survivors:
        parts.survivors.append(SURVIVORS)
    if paid_parts not in payers:
        payers.append(paid_parts)
    on_before_erasure(open_business)

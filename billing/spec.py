"""What this floor registers: slices, reactor, adviser, projectors, sentences, survivors of an
erasure and what stands open before one."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from billing.authorizations.domain import event_texts as authorization_texts
from billing.authorizations.domain.advisories import BillingSettings, advise_booking
from billing.authorizations.domain.projections import AUTHORIZATION_ROWS, VISIT_ROWS
from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.authorizations.selectors import owners_of_ids as ahead
from billing.authorizations.selectors.open_business import open_billing_reasons
from billing.authorizations.selectors.paid_parts import paid_parts
from billing.payers.selectors import payer_rules
from billing.summaries.domain import event_texts as disclosure_texts
from billing.summaries.domain.projections import DISCLOSURE_ROWS
from billing.summaries.domain.retention import RETAINED_FACTS
from billing.summaries.domain.state import DISCLOSURES
from billing.visits.domain.jobs import SHARED_TIME_JOBS
from billing.visits.domain.reactors import BillingFacts, ended_at, react_to_note
from billing.visits.selectors.overlaps import sessions_elsewhere
from billing.visits.services import shared_time
from practice.audit.hooks import on_before_erasure
from practice.core.decisions import Advisory, Reactor, States, installed
from practice.core.events import RecordedEvent
from practice.policy.hooks import register_settings
from practice.policy.selectors import settings_group
from sessions.calendar.domain.state import CALENDAR
from sessions.notes.domain.events import AddendumAdded, NoteSigned
from sessions.session_split.selectors.facts import payable_parts_sources

PROJECTIONS = (AUTHORIZATION_ROWS, VISIT_ROWS, DISCLOSURE_ROWS)
UPCOMING_HOOKS = (ahead.client_of_authorization, ahead.client_of_visit)
JOB_HANDLERS = (shared_time.recalculate_shared_time,)
"""Both registered as their modules are imported."""


def _facts(client_id: UUID, states: States, recorded: RecordedEvent) -> BillingFacts:
    """The settings, as they stand now, of the payers of a client's authorizations, and
    whether the practitioner was with someone else in the minutes of the note."""
    rules = payer_rules(
        {one.payer_id for one in states[AUTHORIZATION_BALANCE].authorizations.values()}
    )
    signed = recorded.data
    if not isinstance(signed, NoteSigned):
        return BillingFacts(rules)
    span = signed.started_at, ended_at(signed)
    return BillingFacts(rules, sessions_elsewhere(client_id, signed.practitioner_id, *span))


def _settings(client_id: UUID, states: States, facts: Any) -> BillingSettings:
    return settings_group("billing", BillingSettings)[0]


CALCULATE_VISIT = Reactor(
    name="draw a visit",
    on=(NoteSigned, AddendumAdded),
    slices=(AUTHORIZATION_BALANCE,),
    react=react_to_note,
    lookup=_facts,
)
ADVISE_ON_BOOKING = Advisory(
    question="session.booking",
    slices=(AUTHORIZATION_BALANCE, CALENDAR),
    advise=advise_booking,
    lookup=_settings,
)


def register() -> None:
    """Called once at start-up; safe to repeat."""
    installed.add_slices(AUTHORIZATION_BALANCE, DISCLOSURES)
    installed.add_projections(*PROJECTIONS)
    installed.add_event_texts(authorization_texts.EVENT_TEXTS, disclosure_texts.EVENT_TEXTS)
    register_settings("billing", BillingSettings)
    if CALCULATE_VISIT not in installed.reactors:
        installed.reactors.append(CALCULATE_VISIT)
    if SHARED_TIME_JOBS not in installed.job_plans:
        installed.job_plans.append(SHARED_TIME_JOBS)
    if ADVISE_ON_BOOKING not in installed.advisories:
        installed.advisories.append(ADVISE_ON_BOOKING)
    if RETAINED_FACTS not in installed.retained_facts:
        installed.retained_facts.append(RETAINED_FACTS)
    if paid_parts not in payable_parts_sources:
        payable_parts_sources.append(paid_parts)
    on_before_erasure(open_billing_reasons)

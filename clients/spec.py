"""What the clients' features bring: who a client is and what may be done with them."""

from __future__ import annotations

from typing import Any

import msgspec

from clients.calls.domain import event_texts as call_texts
from clients.calls.domain import events as call_events
from clients.calls.domain.projections import CALL_ROWS, CALL_TOPIC_ROWS
from clients.calls.domain.state import CALLS, CallMade
from clients.calls.hooks import CALL_REASONS
from clients.clinical.domain.facts import CLIENT_FACTS
from clients.consent.domain import event_texts as consent_texts
from clients.consent.domain import events as consent_events
from clients.consent.domain.projections import CONSENT_ROWS
from clients.health.domain import event_texts as health_texts
from clients.health.domain import events as health_events
from clients.health.domain.projections import HISTORY_ROWS
from clients.identity.domain import event_texts as identity_texts
from clients.identity.domain import events as identity_events
from clients.identity.domain.names import NameSettings
from clients.identity.domain.projections import CLIENT_ROWS, FACILITY_ROWS, SEARCH_ROWS
from clients.identity.selectors import visible_among
from clients.orders.domain import event_texts as orders_texts
from clients.orders.domain import events as order_events
from clients.orders.domain.projections import ORDER_ROWS
from clients.papers.calls import ORDERS_EXPIRING, PAPERS_EXPIRING, PAPERS_OVERDUE
from clients.papers.domain import event_texts as paper_texts
from clients.papers.domain import events as paper_events
from clients.papers.domain.projections import PAPER_ROWS
from clients.papers.domain.settings import PaperSettings
from clients.papers.domain.state import PAPERS, PapersState
from clients.permissions.domain.settings import PermissionSettings
from clients.preference.domain import event_texts as preference_texts
from clients.preference.domain import events as preference_events
from clients.preference.domain.projections import PREFERENCE_ROWS
from practice.core.appspec import AppSpec, RecordSection
from practice.work.visibility import VISIBLE_AMONG


def _papers_of_record(state: PapersState) -> Any:
    """The papers of a record as known on a day, in the order in which they were asked for."""
    return msgspec.to_builtins(list(state.papers.values()))


def _calls_of_record(calls: tuple[CallMade, ...]) -> Any:
    """The calls to the client as known on a day, in order of their entry."""
    return msgspec.to_builtins(list(calls))


APP = AppSpec(
    name="clients",
    events=(
        identity_events,
        call_events,
        health_events,
        order_events,
        consent_events,
        preference_events,
        paper_events,
    ),
    slices=(*CLIENT_FACTS, CALLS, PAPERS),
    projections=(
        CLIENT_ROWS,
        FACILITY_ROWS,
        CALL_ROWS,
        CALL_TOPIC_ROWS,
        SEARCH_ROWS,
        CONSENT_ROWS,
        PREFERENCE_ROWS,
        HISTORY_ROWS,
        ORDER_ROWS,
        PAPER_ROWS,
    ),
    event_texts=(
        identity_texts.EVENT_TEXTS,
        call_texts.EVENT_TEXTS,
        consent_texts.EVENT_TEXTS,
        health_texts.EVENT_TEXTS,
        orders_texts.EVENT_TEXTS,
        preference_texts.EVENT_TEXTS,
        paper_texts.EVENT_TEXTS,
    ),
    settings={
        "permissions": PermissionSettings,
        "names": NameSettings,
        "papers": PaperSettings,
    },
    record_sections={
        "calls": RecordSection(CALLS, _calls_of_record),
        "papers": RecordSection(PAPERS, _papers_of_record),
    },
    practice_ids=("emergency_contact_id", "unsuitable_time_id"),
    owners_of_ids={"order_id": "clients.Order", "paper_id": "clients.Paper"},
    extensions=(
        VISIBLE_AMONG.by(visible_among),
        CALL_REASONS.by(PAPERS_OVERDUE, PAPERS_EXPIRING, ORDERS_EXPIRING),
    ),
)

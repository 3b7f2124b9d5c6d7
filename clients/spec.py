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
from clients.consent.domain.jobs import CONSENT_REMINDERS
from clients.consent.domain.projections import CONSENT_ROWS
from clients.consent.reminders import CONSENT_EXPIRING
from clients.health.domain import event_texts as health_texts
from clients.health.domain import events as health_events
from clients.health.domain.projections import HISTORY_ROWS
from clients.identity.domain import event_texts as identity_texts
from clients.identity.domain import events as identity_events
from clients.identity.domain.names import NameSettings
from clients.identity.domain.projections import CLIENT_ROWS, FACILITY_ROWS, SEARCH_ROWS
from clients.identity.hooks import DETAILS_CHANGED, REGISTERED
from clients.identity.selectors import visible_among
from clients.orders.domain import event_texts as orders_texts
from clients.orders.domain import events as order_events
from clients.orders.domain.projections import ORDER_ROWS
from clients.papers.calls import ORDERS_EXPIRING, PAPERS_EXPIRING, PAPERS_OVERDUE
from clients.papers.domain import event_texts as paper_texts
from clients.papers.domain import events as paper_events
from clients.papers.domain.jobs import PAPER_REMINDERS
from clients.papers.domain.projections import PAPER_ROWS
from clients.papers.domain.settings import PaperSettings
from clients.papers.domain.state import PAPERS, PapersState
from clients.papers.reminders import PAPER_UNANSWERED
from clients.permissions.domain.settings import PermissionSettings
from clients.preference.domain import event_texts as preference_texts
from clients.preference.domain import events as preference_events
from clients.preference.domain.projections import PREFERENCE_ROWS
from clients.reminders.calls import ADDRESSES_FAILED, CLIENTS_ANSWERED, REMINDERS_TO_TELL
from clients.reminders.domain.hours import ReminderSettings
from clients.reminders.domain.rules import MessageLimits
from clients.reminders.hooks import REMINDER_KINDS
from clients.reminders.licences import LICENCE_EXPIRING, plan_licence_reminder
from clients.reminders.selectors import LISTED_JOB, SEND_JOB
from clients.reminders.services.making import look_at_listed, remind
from clients.reminders.services.notices import mark_replaced, take_replies
from clients.reminders.services.sending import SENDING
from clients.reminders.services.stops import refuse_stopped_numbers, refuse_what_was_stopped
from practice.core.appspec import AppSpec, RecordSection
from practice.core.jobs import JobKind, JobOrder
from practice.jobs.hooks import EACH_TICK
from practice.people_and_places.hooks import LICENCE_KEPT
from practice.work.visibility import VISIBLE_AMONG


def _papers_of_record(state: PapersState) -> Any:
    """The papers of a record as known on a day, in the order in which they were asked for."""
    return msgspec.to_builtins(list(state.papers.values()))


def _calls_of_record(calls: tuple[CallMade, ...]) -> Any:
    """The calls to the client as known on a day, in order of their entry."""
    return msgspec.to_builtins(list(calls))


REMINDERS = (LICENCE_EXPIRING, CONSENT_EXPIRING, PAPER_UNANSWERED)

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
        "reminders": ReminderSettings,
        "messages": MessageLimits,
        **{one.job: one.settings for one in REMINDERS},
    },
    job_plans=(CONSENT_REMINDERS, PAPER_REMINDERS),
    job_kinds=(
        *(one.job_kind for one in REMINDERS),
        JobKind(name=SEND_JOB, must_happen=False, order=JobOrder.REMINDER, together=10),
        JobKind(name=LISTED_JOB, must_happen=True),
    ),
    job_handlers={**{one.job: remind for one in REMINDERS}, LISTED_JOB: look_at_listed},
    job_handovers={SEND_JOB: SENDING},
    working_documents=("clients.Reminder", "clients.ContactNotice"),
    record_sections={
        "calls": RecordSection(CALLS, _calls_of_record),
        "papers": RecordSection(PAPERS, _papers_of_record),
    },
    practice_ids=("emergency_contact_id", "unknown_reply_id", "unsuitable_time_id"),
    owners_of_ids={
        "contact_notice_id": "clients.ContactNotice",
        "order_id": "clients.Order",
        "paper_id": "clients.Paper",
        "reminder_id": "clients.Reminder",
    },
    extensions=(
        VISIBLE_AMONG.by(visible_among),
        CALL_REASONS.by(PAPERS_OVERDUE, PAPERS_EXPIRING, ORDERS_EXPIRING),
        CALL_REASONS.by(REMINDERS_TO_TELL, ADDRESSES_FAILED, CLIENTS_ANSWERED),
        REMINDER_KINDS.by(*REMINDERS),
        LICENCE_KEPT.by(plan_licence_reminder),
        DETAILS_CHANGED.by(refuse_what_was_stopped),
        REGISTERED.by(refuse_stopped_numbers),
        DETAILS_CHANGED.by(mark_replaced),
        EACH_TICK.by(take_replies),
    ),
)

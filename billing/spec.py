"""What billing's features bring: authorizations, visits, summaries."""

from __future__ import annotations

from billing.authorizations.domain import event_texts as authorization_texts
from billing.authorizations.domain import events as authorization_events
from billing.authorizations.domain.advisories import BillingSettings
from billing.authorizations.domain.jobs import AUTHORIZATION_REMINDERS
from billing.authorizations.domain.projections import AUTHORIZATION_ROWS, VISIT_ROWS
from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.authorizations.selectors.advisories import (
    ADVISE_OF_THRESHOLDS,
    ADVISE_ON_BOOKING,
    UNPAID_BY_AUTHORIZATIONS,
)
from billing.authorizations.selectors.expiring import expiring_authorizations
from billing.authorizations.selectors.extensions import COVERABLE_VISITS
from billing.authorizations.selectors.gaps import COVERAGE_GAPS
from billing.authorizations.selectors.left import authorizations_left
from billing.authorizations.selectors.open_business import open_billing_reasons
from billing.authorizations.selectors.paid_parts import paid_parts
from billing.authorizations.selectors.payers_of_day import payers_by_day
from billing.authorizations.selectors.reminders import (
    AUTHORIZATION_ENDING,
    AUTHORIZATION_LOW,
)
from billing.payers.selectors import payer_exists
from billing.progress_notes.domain import event_texts as progress_note_texts
from billing.progress_notes.domain import events as progress_note_events
from billing.progress_notes.domain.jobs import PROGRESS_NOTE_REMINDERS
from billing.progress_notes.domain.projections import PROGRESS_NOTE_ROWS, TREATMENT_PERIOD_ROWS
from billing.progress_notes.domain.retention import RETAINED_PROGRESS_NOTES
from billing.progress_notes.domain.state import PROGRESS_NOTES
from billing.progress_notes.selectors.advisory import ADVISE_OF_PROGRESS_NOTE
from billing.progress_notes.selectors.gaps import PROGRESS_NOTE_GAPS, note_due_at_opening
from billing.progress_notes.selectors.reminders import PROGRESS_NOTE_DUE, PROGRESS_NOTE_OVERDUE
from billing.record_requests.domain.settings import RecordRequestSettings
from billing.self_pay.domain import event_texts as self_pay_texts
from billing.self_pay.domain import events as self_pay_events
from billing.self_pay.domain.projections import SELF_PAY_ROWS
from billing.self_pay.domain.retention import RETAINED_SELF_PAY
from billing.self_pay.domain.state import SELF_PAY
from billing.summaries.domain import event_texts as summary_texts
from billing.summaries.domain import events as summary_events
from billing.summaries.domain.projections import DISCLOSURE_ROWS
from billing.summaries.domain.retention import RETAINED_FACTS
from billing.summaries.domain.state import DISCLOSURES, KEPT_SUMMARIES, VISIT_CHANGES
from billing.visits.domain.jobs import SHARED_TIME_JOB, SHARED_TIME_JOBS
from billing.visits.selectors.booking_advisory import ADVISE_ON_PAYER, UNPAID_BY_PAYER
from billing.visits.selectors.coverage import count_coverable
from billing.visits.selectors.reactor import (
    CALCULATE_CO_SIGNED,
    CALCULATE_VISIT,
    GIVE_BACK_VISIT,
)
from billing.visits.services.shared_time import recalculate_shared_time
from clients.papers.expiring import EXPIRING
from clients.reminders.hooks import REMINDER_KINDS
from clients.reminders.services.making import remind
from practice.audit.hooks import OPEN_BUSINESS
from practice.core.appspec import AppSpec
from practice.core.jobs import JobKind
from practice.law.hooks import KNOWN_PAYERS
from sessions.assessment.selectors.extensions import PAYERS
from sessions.calendar.selectors.gaps import SESSION_GAPS
from sessions.desk.selectors.coverage import COVERAGE_LEFT
from sessions.plan.opening_warnings import OPENING_WARNINGS
from sessions.session_split.selectors.facts import PAYABLE_PARTS

REMINDERS = (AUTHORIZATION_ENDING, AUTHORIZATION_LOW, PROGRESS_NOTE_DUE, PROGRESS_NOTE_OVERDUE)

APP = AppSpec(
    name="billing",
    events=(self_pay_events, authorization_events, progress_note_events, summary_events),
    slices=(
        SELF_PAY,
        AUTHORIZATION_BALANCE,
        PROGRESS_NOTES,
        DISCLOSURES,
        KEPT_SUMMARIES,
        VISIT_CHANGES,
    ),
    projections=(
        SELF_PAY_ROWS,
        AUTHORIZATION_ROWS,
        VISIT_ROWS,
        PROGRESS_NOTE_ROWS,
        TREATMENT_PERIOD_ROWS,
        DISCLOSURE_ROWS,
    ),
    reactors=(GIVE_BACK_VISIT, CALCULATE_CO_SIGNED, CALCULATE_VISIT),
    advisories=(
        ADVISE_ON_BOOKING,
        ADVISE_ON_PAYER,
        ADVISE_OF_THRESHOLDS,
        ADVISE_OF_PROGRESS_NOTE,
        UNPAID_BY_AUTHORIZATIONS,
        UNPAID_BY_PAYER,
    ),
    job_plans=(SHARED_TIME_JOBS, AUTHORIZATION_REMINDERS, PROGRESS_NOTE_REMINDERS),
    job_kinds=(
        JobKind(name=SHARED_TIME_JOB, must_happen=True),
        *(one.job_kind for one in REMINDERS),
    ),
    job_handlers={
        SHARED_TIME_JOB: recalculate_shared_time,
        **{one.job: remind for one in REMINDERS},
    },
    event_texts=(
        self_pay_texts.EVENT_TEXTS,
        authorization_texts.EVENT_TEXTS,
        progress_note_texts.EVENT_TEXTS,
        summary_texts.EVENT_TEXTS,
    ),
    settings={
        "billing": BillingSettings,
        "record_requests": RecordRequestSettings,
        **{one.job: one.settings for one in REMINDERS},
    },
    owners_of_ids={
        "authorization_id": "billing.Authorization",
        "progress_note_id": "billing.ProgressNote",
        "record_request_id": "billing.Disclosure",
        "summary_id": "billing.Disclosure",
        "visit_id": "billing.Visit",
    },
    practice_ids=("code_id", "payer_id"),
    retained_facts=(RETAINED_SELF_PAY, RETAINED_PROGRESS_NOTES, RETAINED_FACTS),
    extensions=(
        REMINDER_KINDS.by(*REMINDERS),
        OPEN_BUSINESS.by(open_billing_reasons),
        PAYABLE_PARTS.by(paid_parts),
        PAYERS.by(payers_by_day),
        KNOWN_PAYERS.by(payer_exists),
        COVERABLE_VISITS.by(count_coverable),
        EXPIRING.by(expiring_authorizations),
        SESSION_GAPS.by(COVERAGE_GAPS, PROGRESS_NOTE_GAPS),
        OPENING_WARNINGS.by(note_due_at_opening),
        COVERAGE_LEFT.by(authorizations_left),
    ),
)

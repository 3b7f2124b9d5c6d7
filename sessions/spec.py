"""What the sessions' features bring: calendar, notes, measurements, stretches, the split."""

from __future__ import annotations

from clients.calls.hooks import CALL_REASONS
from clients.identity.booked_sessions import BOOKED_SESSIONS
from clients.papers.selectors import HELD_UP
from clients.reminders.hooks import REMINDER_KINDS
from clients.reminders.services.making import remind
from practice.audit.hooks import DOCUMENT_FAULTS, OPEN_BUSINESS
from practice.core.appspec import AppSpec
from practice.core.jobs import JobKind, JobOrder
from practice.jobs.standing import STANDING_JOBS
from practice.people_and_places.hooks import SUPERVISED_NOTES, SUPERVISION_USES
from practice.policy.hooks import (
    EVALUATED_BY,
    SETTINGS_CHANGED,
    UPCOMING_SESSION_COUNTS,
    UPCOMING_SESSIONS_AT,
    UPCOMING_SESSIONS_IN,
)
from sessions.absences.selectors.call_reasons import (
    ABSENCE_GAPS,
    FACILITY_CLOSED,
    PRACTITIONER_ABSENT,
)
from sessions.assessment.selectors.extensions import PROGRAMME
from sessions.booking.domain.jobs import SESSION_REMINDERS
from sessions.booking.selectors.call_reasons import SESSIONS_NARROWED
from sessions.booking.selectors.extensions import KEPT_WITH_SESSION
from sessions.booking.selectors.held_up import sessions_held_up
from sessions.booking.selectors.hours_gaps import HOURS_GAPS
from sessions.booking.selectors.paper_gaps import PAPER_GAPS
from sessions.booking.selectors.place_gaps import PLACE_GAPS
from sessions.booking.selectors.reminders import SESSION_TOMORROW
from sessions.booking.selectors.upcoming import (
    upcoming_sessions_at,
    upcoming_sessions_in,
    upcoming_sessions_of_practitioner,
)
from sessions.booking.services.freed import WHO_WAITS
from sessions.calendar.domain import event_texts as calendar_texts
from sessions.calendar.domain import events as calendar_events
from sessions.calendar.domain.projections import SESSION_ROWS
from sessions.calendar.domain.settings import CalendarSettings
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.selectors.gaps import SESSION_GAPS
from sessions.catalogue.domain.settings import DoseSettings
from sessions.desk.selectors.call_reasons import CONSENT_ENDING
from sessions.desk.selectors.gaps import RECORD_GAPS
from sessions.desk.selectors.rhythm import RHYTHM_GAPS
from sessions.feeds.domain.settings import FeedSettings
from sessions.goals.domain import event_texts as goal_texts
from sessions.goals.domain import events as goal_events
from sessions.goals.domain.projections import HOME_REPORT_ROWS, TREATMENT_GOAL_ROWS
from sessions.goals.domain.state import TREATMENT_GOALS
from sessions.groups.domain.settings import GroupSettings
from sessions.groups.selectors import CLASSES_CHANGED
from sessions.incidents.domain import event_texts as incident_texts
from sessions.incidents.domain import events as incident_events
from sessions.incidents.domain.projections import INCIDENT_ROWS
from sessions.incidents.domain.state import INCIDENTS
from sessions.incidents.selectors import INCIDENTS_TO_FOLLOW_UP
from sessions.measurements.domain import event_texts as measurement_texts
from sessions.measurements.domain import events as measurement_events
from sessions.measurements.domain.follow_up import FOLLOW_UPS
from sessions.measurements.domain.projections import (
    CIRCUMFERENCES_ROWS,
    GOAL_ROWS,
    POSTURE_ROWS,
    READING_ROWS,
)
from sessions.measurements.domain.reactors import ENTER_MEASUREMENTS_IN_ERROR
from sessions.measurements.domain.settings import MeasurementSettings
from sessions.measurements.domain.state import MEASUREMENTS
from sessions.measurements.domain.swelling_settings import SwellingSettings
from sessions.measurements.hooks import SENT_MEASUREMENTS
from sessions.measurements.serializers.sent import SENT_CIRCUMFERENCES, SENT_READING
from sessions.notes.domain import co_signature_events
from sessions.notes.domain import event_texts as note_texts
from sessions.notes.domain import events as note_events
from sessions.notes.domain.co_signatures import CO_SIGNATURES
from sessions.notes.domain.jobs import NOTE_REMINDERS
from sessions.notes.domain.projections import NOTE_ROWS
from sessions.notes.domain.reactors import ENTER_NOTE_IN_ERROR
from sessions.notes.domain.settings import NoteSettings
from sessions.notes.domain.state import NOTES
from sessions.notes.selectors.extensions import CLOSED_TO_LOAD
from sessions.notes.selectors.kept_drafts import kept_draft_warnings
from sessions.notes.selectors.reminders import NOTE_UNSIGNED
from sessions.notes.selectors.supervision import (
    notes_of_supervised_day,
    notes_resting_on_supervision,
)
from sessions.notes.selectors.upcoming import NOTE_GAPS, open_session_reasons
from sessions.notes.services.kept_drafts import draft_faults
from sessions.record_sections import RECORD_SECTIONS
from sessions.reevaluation import services as reevaluation
from sessions.reevaluation.selectors.booked_sessions import booked_sessions_after
from sessions.series.domain import event_texts as series_texts
from sessions.series.domain import events as series_events
from sessions.series.domain.projections import SERIES_ROWS
from sessions.series.domain.settings import SeriesSettings
from sessions.series.domain.state import SERIES
from sessions.session_split.domain import event_texts as split_texts
from sessions.session_split.domain import events as split_events
from sessions.session_split.domain.settings import SessionSplitSettings
from sessions.session_split.domain.state import SESSION_SPLITS
from sessions.session_split.selectors.training import closed_to_load
from sessions.stretches.domain import event_texts as stretch_texts
from sessions.stretches.domain import events as stretch_events
from sessions.stretches.domain import home_exercise_events
from sessions.stretches.domain.home_exercise_projections import HOME_EXERCISE_ROWS
from sessions.stretches.domain.jobs import RECHECK_JOB, RECHECK_JOBS
from sessions.stretches.domain.projections import PRESCRIPTION_ROWS, RECHECK_ROWS
from sessions.stretches.domain.reactors import START_PERFORMED_STRETCHES
from sessions.stretches.domain.session_in_error import TAKE_BACK_SESSION
from sessions.stretches.domain.settings import RecheckSettings
from sessions.stretches.domain.state import STRETCHES
from sessions.stretches.selectors.call_reasons import RECHECKS_DUE, REMINDERS_NOT_SENT
from sessions.stretches.selectors.programme import programme_stretches
from sessions.stretches.selectors.reminders import RECHECK_DUE
from sessions.stretches.selectors.unsent import MAIL_GAPS
from sessions.stretches.services.home_exercises import DISCONTINUE_NARROWED_HOME_EXERCISES
from sessions.stretches.services.rechecks import (
    ANSWER_RECHECKS,
    FOLLOW_UP,
    recheck_due,
)
from sessions.waiting_list.domain import event_texts as waiting_texts
from sessions.waiting_list.domain import events as waiting_events
from sessions.waiting_list.domain.projections import WAITING_ROWS
from sessions.waiting_list.domain.settings import WaitingListSettings
from sessions.waiting_list.domain.state import WAITING
from sessions.waiting_list.selectors import who_waits

REMINDERS = (RECHECK_DUE, SESSION_TOMORROW, NOTE_UNSIGNED)

APP = AppSpec(
    name="sessions",
    events=(
        calendar_events,
        series_events,
        waiting_events,
        note_events,
        co_signature_events,
        incident_events,
        goal_events,
        measurement_events,
        stretch_events,
        home_exercise_events,
        split_events,
    ),
    slices=(
        CALENDAR,
        SERIES,
        WAITING,
        INCIDENTS,
        TREATMENT_GOALS,
        NOTES,
        CO_SIGNATURES,
        MEASUREMENTS,
        STRETCHES,
        SESSION_SPLITS,
    ),
    projections=(
        SESSION_ROWS,
        SERIES_ROWS,
        WAITING_ROWS,
        INCIDENT_ROWS,
        TREATMENT_GOAL_ROWS,
        HOME_REPORT_ROWS,
        NOTE_ROWS,
        READING_ROWS,
        GOAL_ROWS,
        POSTURE_ROWS,
        CIRCUMFERENCES_ROWS,
        PRESCRIPTION_ROWS,
        RECHECK_ROWS,
        HOME_EXERCISE_ROWS,
    ),
    reactors=(
        reevaluation.FACTS_CHANGED,
        reevaluation.STOPPED,
        reevaluation.SAID,
        ENTER_NOTE_IN_ERROR,
        ENTER_MEASUREMENTS_IN_ERROR,
        START_PERFORMED_STRETCHES,
        TAKE_BACK_SESSION,
        ANSWER_RECHECKS,
        DISCONTINUE_NARROWED_HOME_EXERCISES,
    ),
    job_plans=(RECHECK_JOBS, SESSION_REMINDERS, NOTE_REMINDERS),
    job_kinds=(
        JobKind(name=RECHECK_JOB, must_happen=True, order=JobOrder.REMINDER, together=20),
        *(one.job_kind for one in REMINDERS),
        JobKind(name=reevaluation.REEVALUATION_SWEEP, must_happen=True, order=JobOrder.SWEEP),
        JobKind(name=reevaluation.CLIENT_REEVALUATION, must_happen=True, order=JobOrder.SWEEP),
    ),
    job_handlers={
        **{one.job: remind for one in REMINDERS},
        RECHECK_JOB: recheck_due,
        reevaluation.REEVALUATION_SWEEP: reevaluation.run_reevaluation_sweep,
        reevaluation.CLIENT_REEVALUATION: reevaluation.run_client_reevaluation,
    },
    event_texts=(
        calendar_texts.EVENT_TEXTS,
        goal_texts.EVENT_TEXTS,
        incident_texts.EVENT_TEXTS,
        measurement_texts.EVENT_TEXTS,
        note_texts.EVENT_TEXTS,
        series_texts.EVENT_TEXTS,
        waiting_texts.EVENT_TEXTS,
        split_texts.EVENT_TEXTS,
        stretch_texts.EVENT_TEXTS,
    ),
    settings={
        "calendar": CalendarSettings,
        "series": SeriesSettings,
        "waiting_list": WaitingListSettings,
        "notes": NoteSettings,
        "measurement": MeasurementSettings,
        "swelling": SwellingSettings,
        "rechecks": RecheckSettings,
        **{one.job: one.settings for one in REMINDERS},
        "doses": DoseSettings,
        "session_split": SessionSplitSettings,
        "feeds": FeedSettings,
        "groups": GroupSettings,
    },
    practice_ids=("feed_id", "held_slot_id", "kind_id", "class_id", "travel_time_id"),
    record_sections=RECORD_SECTIONS,
    owners_of_ids={
        "circumferences_id": "client_sessions.Circumferences",
        "finding_id": "client_sessions.PostureFinding",
        "home_exercise_id": "client_sessions.HomeExercise",
        "treatment_goal_id": "client_sessions.TreatmentGoal",
        "report_id": "client_sessions.HomeExerciseReport",
        "incident_id": "client_sessions.Incident",
        "prescription_id": "client_sessions.Prescription",
        "reading_id": "client_sessions.Reading",
        "recheck_id": "client_sessions.Recheck",
        "series_id": "client_sessions.SessionSeries",
        "session_id": "client_sessions.Session",
        "waiting_id": "client_sessions.WaitingEntry",
    },
    working_documents=("client_sessions.NoteDraft",),
    extensions=(
        REMINDER_KINDS.by(*REMINDERS),
        UPCOMING_SESSION_COUNTS.by(upcoming_sessions_of_practitioner),
        UPCOMING_SESSIONS_AT.by(upcoming_sessions_at),
        UPCOMING_SESSIONS_IN.by(upcoming_sessions_in),
        EVALUATED_BY.by("calendar", "permissions", "supervision", "swelling"),
        SETTINGS_CHANGED.by(reevaluation.plan_reevaluation_sweep),
        KEPT_WITH_SESSION.by(kept_draft_warnings),
        STANDING_JOBS.by(reevaluation.rules_sweep),
        OPEN_BUSINESS.by(open_session_reasons),
        DOCUMENT_FAULTS.by(draft_faults),
        SENT_MEASUREMENTS.by(SENT_READING, SENT_CIRCUMFERENCES),
        SUPERVISION_USES.by(notes_resting_on_supervision),
        SUPERVISED_NOTES.by(notes_of_supervised_day),
        CLOSED_TO_LOAD.by(closed_to_load),
        FOLLOW_UPS.by(FOLLOW_UP),
        WHO_WAITS.by(who_waits),
        PROGRAMME.by(programme_stretches),
        HELD_UP.by(sessions_held_up),
        BOOKED_SESSIONS.by(booked_sessions_after),
        CALL_REASONS.by(RECHECKS_DUE, REMINDERS_NOT_SENT, SESSIONS_NARROWED, CONSENT_ENDING),
        CALL_REASONS.by(PRACTITIONER_ABSENT, FACILITY_CLOSED, CLASSES_CHANGED),
        CALL_REASONS.by(INCIDENTS_TO_FOLLOW_UP),
        SESSION_GAPS.by(ABSENCE_GAPS, PLACE_GAPS, HOURS_GAPS, RECORD_GAPS, RHYTHM_GAPS),
        SESSION_GAPS.by(PAPER_GAPS, NOTE_GAPS, MAIL_GAPS),
    ),
)

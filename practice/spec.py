"""What the practice's own features bring."""

from __future__ import annotations

from practice.audit.comparison_tasks import LOG_COMPARISON_JOB, run_comparison
from practice.audit.domain import events as erasure_events
from practice.audit.domain.jobs import KEY_DESTRUCTION, KEY_DESTRUCTION_JOB
from practice.audit.domain.state import ERASURE
from practice.audit.sealing import newest_seals, seal_new_rows
from practice.audit.selectors import RetentionSettings
from practice.audit.services import destroy_key
from practice.core.appspec import AppSpec
from practice.core.jobs import JobKind, JobOrder
from practice.eventstore.digest import DIGEST_PARTS
from practice.http.readiness import HEALTH_SETTINGS, READINESS_CHECKS, HealthSettings
from practice.jobs.hooks import EACH_TICK
from practice.jobs.nightly import NIGHTLY_JOB, nightly, nightly_job
from practice.jobs.planning import plan_jobs, withdraw_due
from practice.jobs.retrying import JOB_SETTINGS, JobSettings
from practice.jobs.standing import STANDING_JOBS
from practice.keys.canary import key_problems
from practice.people_and_places.supervision import SupervisionSettings
from practice.people_and_places.throttle import AccessSettings
from practice.policy.selectors import unreadable_settings
from practice.policy.settings_below import settings_of_health, settings_of_jobs

APP = AppSpec(
    name="practice",
    events=(erasure_events,),
    slices=(ERASURE,),
    after_append=(plan_jobs,),
    job_plans=(KEY_DESTRUCTION,),
    job_kinds=(
        JobKind(name=KEY_DESTRUCTION_JOB, must_happen=True),
        JobKind(name=NIGHTLY_JOB, must_happen=True),
        JobKind(name=LOG_COMPARISON_JOB, must_happen=False, order=JobOrder.SWEEP),
    ),
    job_handlers={KEY_DESTRUCTION_JOB: destroy_key},
    job_deliveries={NIGHTLY_JOB: nightly, LOG_COMPARISON_JOB: run_comparison},
    settings={
        "access": AccessSettings,
        "health": HealthSettings,
        "jobs": JobSettings,
        "retention": RetentionSettings,
        "supervision": SupervisionSettings,
    },
    practice_ids=(
        "absence_id",
        "age_id",
        "closure_id",
        "comparison_id",
        "competence_id",
        "extra_hours_id",
        "facility_id",
        "holiday_opening_id",
        "licence_id",
        "limit_id",
        "practitioner_id",
        "room_id",
        "rule_id",
        "setting_id",
        "staff_id",
        "supervision_id",
        "token_id",
    ),
    erasables=(withdraw_due,),
    kept_tables=("practice.AccessEntry",),  # who read a record is asked after its erasure too
    extensions=(
        STANDING_JOBS.by(nightly_job),
        JOB_SETTINGS.by(settings_of_jobs),
        HEALTH_SETTINGS.by(settings_of_health),
        EACH_TICK.by(seal_new_rows),
        DIGEST_PARTS.by(newest_seals),
        READINESS_CHECKS.by(key_problems, unreadable_settings),
    ),
)

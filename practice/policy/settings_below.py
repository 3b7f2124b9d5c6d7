"""How features that stand below settings get theirs: jobs and the health check."""

from practice.http.readiness import HealthSettings
from practice.jobs.retrying import JobSettings
from practice.policy.selectors import settings_group


def settings_of_jobs() -> JobSettings:
    """The group ``jobs``."""
    return settings_group("jobs", JobSettings)[0]


def settings_of_health() -> HealthSettings:
    """The group ``health``."""
    return settings_group("health", HealthSettings)[0]

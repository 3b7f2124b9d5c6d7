"""How the jobs feature, which stands below settings, gets its own."""

from practice.jobs.retrying import JobSettings
from practice.policy.selectors import settings_group


def settings_of_jobs() -> JobSettings:
    """The group ``jobs``."""
    return settings_group("jobs", JobSettings)[0]

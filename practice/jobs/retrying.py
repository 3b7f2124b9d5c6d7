"""When work that failed is tried again, and when it is given up."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

import msgspec

from practice.core.appspec import ExtensionPoint
from practice.core.jobs import JobKind


class JobSettings(msgspec.Struct, frozen=True):
    """Group ``jobs``: pauses between tries, the days after which a delivery is given up, and up
    to how many clients a check is no job."""

    first_pause_seconds: int
    longest_pause_minutes: int
    delivery_days: int
    direct_check_clients: int


JOB_SETTINGS = ExtensionPoint[Callable[[], JobSettings]]("settings of jobs")
"""Answered by the feature that reads settings, which stands above this one."""


def job_settings() -> JobSettings:
    """The settings in force."""
    return JOB_SETTINGS.answers[0]()


def pause_after(failures: int, settings: JobSettings) -> timedelta:
    """How long is waited after so many failures: doubled each time, up to the longest."""
    doubled = settings.first_pause_seconds * 2 ** min(failures - 1, 30)
    return min(timedelta(seconds=doubled), timedelta(minutes=settings.longest_pause_minutes))


def is_given_up(
    kind: JobKind, first_failed_at: datetime, now: datetime, settings: JobSettings
) -> bool:
    """Whether work that has failed since ``first_failed_at`` is tried no more."""
    return not kind.must_happen and now - first_failed_at >= timedelta(days=settings.delivery_days)

"""Filters of the log of reads and refusals, and of jobs."""

from __future__ import annotations

import django_filters

from practice.accesslog.models import AccessEntry
from practice.http.filters import (
    ChoiceFilter,
    FilterSet,
    InstantFilter,
)
from practice.jobs.handlers import job_kinds
from practice.jobs.models import ScheduledJob


class AccessLogFilter(FilterSet):
    """Filters of the log of reads and refusals."""

    client_id = django_filters.UUIDFilter(help_text="Entries about one client.")
    staff_id = django_filters.UUIDFilter(help_text="Entries of one account.")
    outcome = ChoiceFilter(choices=AccessEntry.Outcome.choices, help_text="`read` or `refused`.")
    since = InstantFilter(
        "occurred_at", "gte", help_text="From this instant on, e.g. `2026-03-09T00:00:00Z`."
    )
    until = InstantFilter("occurred_at", "lte", help_text="Up to this instant.")

    class Meta:
        model = AccessEntry
        fields = ("client_id", "staff_id", "outcome")


class JobFilter(FilterSet):
    """Filters of jobs: by state and kind."""

    status = ChoiceFilter(choices=ScheduledJob.Status.choices, help_text="e.g. `given_up`.")
    kind = ChoiceFilter(
        choices=lambda: [(kind, kind) for kind in job_kinds()],
        help_text="One kind, e.g. `recheck`.",
    )

    class Meta:
        model = ScheduledJob
        fields = ("status", "kind")

"""Filters of the settings and of the history of changes."""

from __future__ import annotations

import django_filters
from django.apps import apps

from practice.http.filters import (
    ChoiceFilter,
    FilterSet,
)
from practice.jobs.models import ScheduledJob
from practice.policy.fixtures import setting_groups
from practice.policy.models import PracticeSetting, SettingChange
from practice.policy.rows import RevisionedModel


class SettingFilter(FilterSet):
    """Filters of the list of settings."""

    group = ChoiceFilter(
        choices=lambda: [(group, group) for group in setting_groups()],
        help_text="Settings of one group, e.g. `permissions`.",
    )

    class Meta:
        model = PracticeSetting
        fields = ("group",)


def _tables_with_history() -> list[tuple[str, str]]:
    tables = [one._meta.label for one in apps.get_models() if issubclass(one, RevisionedModel)]
    given_back = ScheduledJob._meta.label  # what was given up and put back, with the reason
    return [(table, table) for table in sorted([*tables, given_back])]


class SettingChangeFilter(FilterSet):
    """Filters of the history of changes."""

    table = ChoiceFilter(
        choices=_tables_with_history, help_text="One table, e.g. `practice.Facility`."
    )
    row_id = django_filters.UUIDFilter(help_text="One row.")
    actor_id = django_filters.UUIDFilter(
        field_name="actor", help_text="Changes made by one account."
    )

    class Meta:
        model = SettingChange
        fields = ("table", "row_id")

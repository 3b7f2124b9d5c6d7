"""Filters of reminders."""

from __future__ import annotations

import django_filters

from clients.reminders.domain.rules import Addressee, Channel
from clients.reminders.hooks import REMINDER_KINDS
from clients.reminders.models import Reminder
from practice.http.filters import ChoiceFilter, FilterSet


def kind_choices() -> list[tuple[str, str]]:
    """Every kind that an app brought."""
    return sorted((one.name, one.name) for one in REMINDER_KINDS.answers)


class ReminderFilter(FilterSet):
    """Of what, of whom, for whom, how, and where it stands."""

    kind = ChoiceFilter(choices=kind_choices, help_text="E.g. `session_tomorrow`.")
    client_id = django_filters.UUIDFilter(field_name="client_id", help_text="Of a client.")
    status = ChoiceFilter(choices=Reminder.Status.choices, help_text="E.g. `listed`.")
    addressee = ChoiceFilter(
        choices=[(one.value, one.value) for one in Addressee], help_text="E.g. `desk`."
    )
    channel = ChoiceFilter(
        choices=[(one.value, one.value) for one in Channel], help_text="E.g. `mail`."
    )

    class Meta:
        model = Reminder
        fields = ("kind", "client_id", "status", "addressee", "channel")

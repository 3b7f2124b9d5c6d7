"""Filters of reminders."""

from __future__ import annotations

import django_filters
from django.db.models import QuerySet

from clients.reminders.domain.rules import Addressee, Channel
from clients.reminders.hooks import REMINDER_KINDS
from clients.reminders.models import Reminder, UnknownReply
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


class UnknownReplyFilter(FilterSet):
    """Where it stands."""

    settled = ChoiceFilter(
        choices=[("open", "open"), ("assigned", "assigned"), ("discarded", "discarded")],
        method="filter_settled",
        help_text="`open`: to be seen to; `assigned`; `discarded`.",
    )

    class Meta:
        model = UnknownReply
        fields = ("settled",)

    def filter_settled(
        self, rows: QuerySet[UnknownReply], _name: str, value: str
    ) -> QuerySet[UnknownReply]:
        """Open is what has not been settled."""
        return rows.filter(settled="" if value == "open" else value)

"""Who pays, on the wire."""

from __future__ import annotations

from rest_framework import serializers

from billing.self_pay.domain.decisions import StateSelfPay
from practice.http.fields import DayField, FlagField, InstantField, TextField
from practice.http.serializers import StrictSerializer


class SelfPayInputSerializer(StrictSerializer):
    """That a client pays for themself from a day on, or does not any more."""

    command = StateSelfPay
    example = {"starts_on": "2026-03-01", "reason": "said so on the phone: no insurance for now"}

    self_paying = FlagField(
        required=False, help_text="true (default): pays for themself; false: not any more."
    )
    starts_on = DayField(help_text="From which day on, e.g. `2026-03-01`.")
    reason = TextField(
        max_length=400, help_text="Why, e.g. `said so on the phone: no insurance for now`."
    )


class SelfPayStatementOutputSerializer(StrictSerializer):
    """One statement."""

    id = serializers.UUIDField(help_text="Id of the statement.")
    starts_on = serializers.DateField(help_text="From this day on, e.g. `2026-03-01`.")
    self_paying = serializers.BooleanField(help_text="true: the client pays for themself.")
    reason = serializers.CharField(help_text="Why.")
    stated_at = InstantField(allow_null=True, help_text="When it was recorded.")


class SelfPayOutputSerializer(StrictSerializer):
    """Whether a client pays for themself today, and what was stated."""

    self_paying = serializers.BooleanField(help_text="Whether the client does today.")
    statements = SelfPayStatementOutputSerializer(
        many=True,
        help_text="The latest day first; each holds until the day of the one above it. Of one day "
        "the one recorded last.",
    )
    version = serializers.IntegerField(help_text="Version of the client's whole record; the ETag.")

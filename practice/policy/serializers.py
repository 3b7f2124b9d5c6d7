"""The practice, its settings, the law on record, the history of changes."""

from __future__ import annotations

from rest_framework import serializers

from practice.http.fields import (
    InstantField,
    NameField,
    PhoneField,
    TextField,
    ZoneField,
)
from practice.http.serializers import RecordSerializer, StrictSerializer


class PracticeSerializer(StrictSerializer):
    """The practice as a whole: its name, time zone, phone and postal address."""

    example = {
        "name": "Riverside Recovery",
        "zone": "America/New_York",
        "phone": "+1 415 555 0123",
        "postal_address": "12 River Street\nSpringfield",
    }

    revision = serializers.IntegerField(read_only=True, help_text="Counts changes; the ETag.")
    name = NameField(max_length=120, help_text="Name of the practice.")
    zone = ZoneField(help_text="Default IANA time zone.")
    phone = PhoneField(
        required=False, allow_blank=True, help_text="Phone in E.164, e.g. `+14155550123`."
    )
    postal_address = TextField(
        required=False,
        allow_blank=True,
        max_length=300,
        help_text="In lines; stands in each mail to a client. Without it none is sent: the desk"
        " tells instead.",
    )


class SettingOutputSerializer(StrictSerializer):
    """A setting with what it rests on."""

    id = serializers.UUIDField(read_only=True, help_text="Id of the setting.")
    revision = serializers.IntegerField(read_only=True, help_text="Counts changes; the ETag.")
    group = serializers.CharField(read_only=True, help_text="Group, e.g. `permissions`.")
    key = serializers.CharField(read_only=True, help_text="Name within its group.")
    value = serializers.JSONField(help_text="The value in its unit, e.g. 8.")
    unit = serializers.CharField(read_only=True, help_text="Unit of the value, e.g. `weeks`.")
    about = serializers.CharField(read_only=True, help_text="What it decides.")
    citation = TextField(
        max_length=2000, help_text="What it rests on, e.g. `practice policy of 9 March 2026`."
    )
    minimum = serializers.FloatField(
        read_only=True, allow_null=True, help_text="Least number it takes, e.g. 4; null for none."
    )
    maximum = serializers.FloatField(
        read_only=True, allow_null=True, help_text="Greatest number it takes, e.g. 52."
    )


class SettingRevisionOutputSerializer(RecordSerializer):
    """A group of settings at one of its revisions."""

    group = serializers.CharField(help_text="Group, e.g. `permissions`.")
    revision = serializers.IntegerField(help_text="Revision of the group, e.g. 31.")
    settings = SettingOutputSerializer(many=True, help_text="As they stood then.")


class ChangedSettingOutputSerializer(SettingOutputSerializer):
    """A changed setting, with what is re-evaluated by it."""

    sessions_reevaluated = serializers.IntegerField(
        read_only=True,
        help_text="Booked sessions to come that are re-evaluated in the background, e.g. 14;"
        " 0 where nothing permitted depends on the setting.",
    )


class SettingPatchInputSerializer(StrictSerializer):
    """A changed value, always with what it rests on now."""

    example = {"value": 8, "citation": "practice policy of 9 March 2026"}

    value = serializers.JSONField(help_text="The value in its unit, e.g. 8.")
    citation = TextField(
        max_length=2000, help_text="What it rests on, e.g. `practice policy of 9 March 2026`."
    )


class SettingChangeOutputSerializer(StrictSerializer):
    """What stood in a row before and after a change."""

    id = serializers.IntegerField(help_text="Number of the change.")
    table = serializers.CharField(help_text="Table, e.g. `practice.Facility`.")
    row_id = serializers.CharField(help_text="Id of the row.")
    occurred_at = InstantField(help_text="When, e.g. `2026-03-09T16:30:00Z`.")
    actor = serializers.UUIDField(help_text="Account that made it.")
    actor_name = serializers.CharField(
        help_text="Whose account, e.g. `Ana Rivera`; empty: the program itself."
    )
    request_id = serializers.CharField(help_text="Request in which it was made.")
    before = serializers.DictField(allow_null=True, help_text="Before; null for a new row.")
    after = serializers.DictField(allow_null=True, help_text="After; null for a removed row.")

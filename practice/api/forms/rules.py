"""The practice, its settings, the law on record, the history of changes."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from practice.api.fields import (
    DayField,
    EnumField,
    InstantField,
    JurisdictionField,
    PhoneField,
    TextField,
    WholeField,
    ZoneField,
)
from practice.api.problems import ReasonField
from practice.api.serializers import Strict
from practice.domain.terms import Activity, Allowance, Credential
from practice.models import JurisdictionLimit, Pathology


class PracticeForm(Strict):
    """The practice."""

    revision = serializers.IntegerField(read_only=True, help_text="Counts changes; the ETag.")
    name = TextField(max_length=120, help_text="Name of the practice.")
    zone = ZoneField(help_text="Default IANA time zone.")
    phone = PhoneField(
        required=False, allow_blank=True, help_text="Phone in E.164, e.g. `+14155550123`."
    )


class SettingForm(Strict):
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
    least = serializers.FloatField(
        read_only=True, allow_null=True, help_text="Least number it takes, e.g. 4; null for none."
    )
    most = serializers.FloatField(
        read_only=True, allow_null=True, help_text="Greatest number it takes, e.g. 52."
    )


class ChangedSetting(SettingForm):
    """A changed setting, with what is judged again by it."""

    sessions_judged_again = serializers.IntegerField(
        read_only=True,
        help_text="Booked sessions to come that are judged again in the background, e.g. 14.",
    )


class SettingPatch(Strict):
    """A changed value, always with what it rests on now."""

    value = serializers.JSONField(help_text="The value in its unit, e.g. 8.")
    citation = TextField(
        max_length=2000, help_text="What it rests on, e.g. `practice policy of 9 March 2026`."
    )


class JurisdictionLimitForm(Strict):
    """What a jurisdiction lets a credential do. Verify with your board."""

    id = serializers.UUIDField(read_only=True, help_text="Id of the row.")
    revision = serializers.IntegerField(read_only=True, help_text="Counts changes; the ETag.")
    jurisdiction = JurisdictionField(help_text="ISO 3166-2 code.")
    credential = EnumField(Credential, help_text="Credential, e.g. `personal_trainer`.")
    activity = EnumField(Activity, help_text="Activity, e.g. `assisted_stretching`.")
    pathology = serializers.ChoiceField(
        choices=Pathology.choices,
        required=False,
        help_text="Clients it speaks of: pathology `treated`, `none`, or `any`.",
    )
    allowance = EnumField(Allowance, help_text="What it says, e.g. `not_allowed`.")
    effective_from = DayField(help_text="First day in effect, e.g. `2024-01-01`.")
    effective_to = DayField(required=False, allow_null=True, help_text="Last day, or null.")
    source = TextField(  # type: ignore[assignment]  # shadows a field's own
        max_length=400, help_text="Code and section, e.g. `49 Pa. Code §40.3`."
    )
    verified_on = DayField(
        help_text="When someone of the practice last checked it with the board, e.g."
        " `2026-02-01`; null for a starter row that nobody has checked yet."
    )
    verified = serializers.SerializerMethodField(
        help_text="false for a starter row that nobody has checked yet: verify it, then PATCH"
        " its `verified_on`."
    )
    warnings = serializers.SerializerMethodField(help_text="What to see to, if anything.")
    direct_access_days = WholeField(
        required=False,
        allow_null=True,
        min_value=0,
        max_value=3650,
        help_text="Calendar days of treatment without a physician, e.g. 45.",
    )
    direct_access_visits = WholeField(
        required=False,
        allow_null=True,
        min_value=0,
        max_value=1000,
        help_text="Visits without a physician, e.g. 12; whichever comes first.",
    )

    def get_verified(self, row: JurisdictionLimit) -> bool:
        """Whether the practice has checked it."""
        return row.verified_on is not None

    @extend_schema_field(ReasonField(many=True))
    def get_warnings(self, row: JurisdictionLimit) -> list[dict[str, str]]:
        """One for a row that the practice has not checked."""
        if row.verified_on is not None:
            return []
        text = "A starter row that nobody here has verified. Ask the board, then set verified_on."
        return [{"code": "law.not_verified", "text": text, "source": row.source}]


class ChangeRow(Strict):
    """What stood in a row before and after a change."""

    id = serializers.IntegerField(help_text="Number of the change.")
    table = serializers.CharField(help_text="Table, e.g. `practice.Facility`.")
    row_id = serializers.CharField(help_text="Id of the row.")
    at = InstantField(help_text="When, e.g. `2026-03-09T16:30:00Z`.")
    actor = serializers.UUIDField(help_text="Account that made it.")
    request_id = serializers.CharField(help_text="Request in which it was made.")
    before = serializers.DictField(allow_null=True, help_text="Before; null for a new row.")
    after = serializers.DictField(allow_null=True, help_text="After; null for a removed row.")

"""The law on record, as it is asked and answered."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from practice.core.terms import Activity, Allowance, Credential, SupervisionLevel
from practice.http.fields import (
    DayField,
    EnumField,
    JurisdictionField,
    TextField,
    WholeNumberField,
)
from practice.http.problems import ReasonSerializer
from practice.http.serializers import StrictSerializer
from practice.law.models import HIGHEST_CONSENT_AGE, ConsentAge, JurisdictionLimit, Pathology


def unverified_warnings(row: JurisdictionLimit | ConsentAge) -> list[dict[str, str]]:
    """One for a starter row that the practice has not checked."""
    if row.verified_on is not None:
        return []
    text = "A starter row that nobody here has verified. Ask the board, then set verified_on."
    return [{"code": "law.not_verified", "text": text, "source": row.source}]


class JurisdictionLimitSerializer(StrictSerializer):
    """What a jurisdiction lets a credential do. Verify with your board."""

    example = {
        "jurisdiction": "US-PA",
        "credential": "personal_trainer",
        "activity": "soft_tissue_work",
        "allowance": "not_allowed",
        "effective_from": "2024-01-01",
        "source": "49 Pa. Code §40.3",
        "verified_on": "2026-02-01",
    }

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
    supervision = EnumField(
        SupervisionLevel,
        required=False,
        help_text="How near the supervisor must be where one is asked for: `general` (can be"
        " reached) or `direct` (works at that facility that day, the default).",
    )
    payer_id = serializers.UUIDField(
        required=False,
        allow_null=True,
        help_text="Only for clients whose payer this is; null: for everyone. It narrows only.",
    )
    effective_from = DayField(help_text="First day in effect, e.g. `2024-01-01`.")
    effective_to = DayField(required=False, allow_null=True, help_text="Last day, or null.")
    source = TextField(  # type: ignore[assignment]  # shadows a field's own
        max_length=400, help_text="Code and section, e.g. `49 Pa. Code §40.3`."
    )
    verified_on = DayField(
        help_text="When someone of the practice last checked it with the board, e.g. `2026-02-01`."
    )
    verified = serializers.SerializerMethodField(
        help_text="false for a starter row that nobody has checked yet: verify it, then PATCH"
        " its `verified_on`."
    )
    warnings = serializers.SerializerMethodField(help_text="What to see to, if anything.")
    direct_access_days = WholeNumberField(
        required=False,
        allow_null=True,
        min_value=0,
        max_value=3650,
        help_text="Calendar days of treatment without a physician, e.g. 45.",
    )
    direct_access_visits = WholeNumberField(
        required=False,
        allow_null=True,
        min_value=0,
        max_value=1000,
        help_text="Visits without a physician, e.g. 12; whichever comes first.",
    )

    def get_verified(self, row: JurisdictionLimit) -> bool:
        """Whether the practice has checked it."""
        return row.verified_on is not None

    @extend_schema_field(ReasonSerializer(many=True))
    def get_warnings(self, row: JurisdictionLimit) -> list[dict[str, str]]:
        """One for a row that the practice has not checked."""
        return unverified_warnings(row)


class JurisdictionLimitOutputSerializer(JurisdictionLimitSerializer):
    """A row as it is shown: a starter row has no day on which it was checked."""

    verified_on = DayField(
        allow_null=True,
        help_text="When someone of the practice last checked it with the board, e.g."
        " `2026-02-01`; null for a starter row that nobody has checked yet.",
    )


class ConsentAgeSerializer(StrictSerializer):
    """From which age people consent to health care alone. Verify with your counsel."""

    example = {
        "jurisdiction": "US-AL",
        "years": 14,
        "effective_from": "2024-01-01",
        "source": "Ala. Code §22-8-4",
        "verified_on": "2026-02-01",
    }

    id = serializers.UUIDField(read_only=True, help_text="Id of the row.")
    revision = serializers.IntegerField(read_only=True, help_text="Counts changes; the ETag.")
    jurisdiction = JurisdictionField(help_text="ISO 3166-2 code, e.g. `US-AL`.")
    years = WholeNumberField(
        min_value=12,
        max_value=HIGHEST_CONSENT_AGE,
        help_text="Age in years, e.g. 14; that birthday is included.",
    )
    effective_from = DayField(help_text="First day in effect, e.g. `2024-01-01`.")
    effective_to = DayField(required=False, allow_null=True, help_text="Last day, or null.")
    source = TextField(  # type: ignore[assignment]  # shadows a field's own
        max_length=400, help_text="Code and section, e.g. `Ala. Code §22-8-4`."
    )
    verified_on = DayField(help_text="When the practice last checked it, e.g. `2026-02-01`.")
    warnings = serializers.SerializerMethodField(help_text="What to see to, if anything.")

    @extend_schema_field(ReasonSerializer(many=True))
    def get_warnings(self, row: ConsentAge) -> list[dict[str, str]]:
        """One for a row that the practice has not checked."""
        return unverified_warnings(row)


class ConsentAgeOutputSerializer(ConsentAgeSerializer):
    """A row as it is shown: a starter row has no day on which it was checked."""

    verified_on = DayField(
        allow_null=True,
        help_text="When the practice last checked it, e.g. `2026-02-01`; null for a starter row"
        " that nobody has checked yet: until then it lowers no age.",
    )

"""Payers and service codes on the wire."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from billing.payers.domain.rates import ThresholdMeasure
from billing.payers.domain.rules import UnitRule, VisitDefinition
from billing.payers.fields import AmountField, CurrencyField
from billing.payers.progress_note_rule import ProgressNoteRuleSerializer
from practice.core.terms import Credential, SessionPart
from practice.http.fields import DayField, EnumField, FlagField, NameField, TextField
from practice.http.serializers import StrictSerializer


class ServiceCodeSerializer(StrictSerializer):
    """A service code, described in the practice's own words."""

    example = {"code": "STR15", "description": "stretching, 15 min", "timed": True}

    id = serializers.UUIDField(read_only=True, help_text="Id of the service code.")
    revision = serializers.IntegerField(read_only=True, help_text="Counts changes; the ETag.")
    code = serializers.RegexField(
        r"\A[A-Z0-9][A-Z0-9.-]{0,19}\Z",
        help_text="Capital letters, digits, dots and hyphens, e.g. `STR15`.",
    )
    description = TextField(
        max_length=80, help_text="The practice's own short description, e.g. `stretching, 15 min`."
    )
    timed = FlagField(help_text="true: units by the minute; false: once a day, e.g. true.")
    is_active = FlagField(required=False, help_text="false once out of use, e.g. true.")


class MappedServiceSerializer(StrictSerializer):
    """Which service code a part of the session is, delivered under a credential."""

    part = EnumField(SessionPart, help_text="Part of the hour, e.g. `stretching`.")
    credential = EnumField(Credential, help_text="Credential, e.g. `physical_therapist`.")
    code = serializers.CharField(
        max_length=20,
        source="service_code.code",
        help_text="One of the practice's service codes, e.g. `STR15`.",
    )

    def to_internal_value(self, data: Any) -> Any:
        """The three words; ``code`` flat."""
        given = super().to_internal_value(data)
        return {**given, "code": given.pop("service_code")["code"]}


class RateSerializer(StrictSerializer):
    """What the payer pays for one unit of a service code."""

    code = serializers.CharField(
        max_length=20, help_text="One of the practice's service codes, e.g. `STR15`."
    )
    amount = AmountField(help_text='For one unit, in the payer\'s currency, e.g. `"31.25"`.')
    source = TextField(  # type: ignore[assignment]  # shadows a field's own
        max_length=200, help_text="Where it is from, with its date, e.g. `contract of 2026-01-04`."
    )


class YearlyThresholdSerializer(StrictSerializer):
    """So much in a calendar year for one client; beyond it the payer wants a mark or a review."""

    measure = EnumField(
        ThresholdMeasure, help_text="What is summed: `amount` by the rates, or `units` used."
    )
    value = AmountField(
        help_text='So much in a year, e.g. `"2400.00"`; of units a whole number, e.g. `"96"`.'
    )
    codes = serializers.ListField(
        child=serializers.CharField(max_length=20),
        required=False,
        max_length=50,
        help_text='Only of these service codes, e.g. `["STR15"]`; none: of all.',
    )
    source = TextField(  # type: ignore[assignment]  # shadows a field's own
        max_length=200, help_text="Where it is from, with its date, e.g. `letter of 2026-01-04`."
    )

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Units are whole."""
        if attrs["measure"] is ThresholdMeasure.UNITS and attrs["value"] % 1:
            raise serializers.ValidationError({"value": "Give whole units."})
        return attrs


class PastServiceOutputSerializer(StrictSerializer):
    """Which service code a part of the hour was, delivered under a credential."""

    part = EnumField(SessionPart, help_text="Part of the hour, e.g. `stretching`.")
    credential = EnumField(Credential, help_text="Credential, e.g. `physical_therapist`.")
    code = serializers.CharField(help_text="Service code, e.g. `STR15`.")


class PastRulesOutputSerializer(StrictSerializer):
    """A payer's rules of earlier days."""

    until = serializers.DateField(help_text="The first day for which they no longer hold.")
    unit_rule = EnumField(UnitRule, help_text="How it made units from minutes.")
    visit_definition = EnumField(VisitDefinition, help_text="What it counted as one visit.")
    paid_credentials = serializers.ListField(
        child=EnumField(Credential), help_text="Credentials whose time it paid."
    )
    group_code = serializers.CharField(help_text="Code for time with several clients at once.")
    currency = serializers.CharField(help_text="Its currency, e.g. `USD`.")
    rates = RateSerializer(many=True, help_text="What it paid for a unit of each code.")
    yearly_thresholds = YearlyThresholdSerializer(
        many=True, help_text="From what in a year it wanted more said."
    )
    progress_note_rule = ProgressNoteRuleSerializer(
        allow_null=True, help_text="How often it asked for a progress note; null: not at all."
    )
    services = PastServiceOutputSerializer(many=True, help_text="Parts to service codes.")


class PayerNameOutputSerializer(StrictSerializer):
    """A payer as everyone sees it."""

    id = serializers.UUIDField(read_only=True, help_text="Id of the payer.")
    name = NameField(max_length=120, help_text="Name, e.g. `Lakeshore Health Plan`.")
    is_active = FlagField(required=False, help_text="false once out of use, e.g. true.")


class PayerInputSerializer(PayerNameOutputSerializer):
    """A payer as owner and billing see it."""

    example = {
        "name": "Lakeshore Health Plan",
        "unit_rule": "cms_total_time",
        "visit_definition": "calendar_day",
        "paid_credentials": ["physical_therapist"],
        "disclosure_address": "Claims, 1 Lakeshore Drive, Erie",
        "services": [{"part": "stretching", "credential": "physical_therapist", "code": "STR15"}],
    }

    revision = serializers.IntegerField(read_only=True, help_text="Counts changes; the ETag.")
    unit_rule = EnumField(
        UnitRule, help_text="How it makes units from minutes, e.g. `cms_total_time`."
    )
    visit_definition = EnumField(
        VisitDefinition,
        required=False,
        help_text="What it counts as one visit: `calendar_day` (the default) or `session`.",
    )
    paid_credentials = serializers.ListField(
        child=EnumField(Credential),
        max_length=len(Credential),
        help_text='Credentials whose time it pays, e.g. `["physical_therapist"]`.',
    )
    group_code = serializers.CharField(
        max_length=20,
        required=False,
        allow_blank=True,
        help_text="Untimed service code for time with several clients at once, e.g. `GRP`; empty: "
        "it pays none.",
    )
    currency = CurrencyField(
        required=False, help_text="Currency of its rates (ISO 4217), e.g. `USD`, the default."
    )
    rates = RateSerializer(
        many=True,
        required=False,
        help_text="What it pays for a unit of each code; replaced as a whole. A code without a "
        "rate has no known amount.",
    )
    yearly_thresholds = YearlyThresholdSerializer(
        many=True,
        required=False,
        help_text="From what in a calendar year and for one client it wants an additional mark or "
        "a review; replaced as a whole.",
    )
    progress_note_rule = ProgressNoteRuleSerializer(
        required=False,
        allow_null=True,
        help_text="How often it asks for a progress note; replaced as a whole. null (the default): "
        "it asks for none, and nobody is reminded.",
    )
    disclosure_address = TextField(
        max_length=400,
        required=False,
        allow_blank=True,
        help_text="Where exports go, e.g. `Claims, 1 Lakeshore Drive, Erie`.",
    )
    services = MappedServiceSerializer(
        many=True,
        required=False,
        help_text="The practice's map of parts to service codes; replaced as a whole.",
    )
    past_rules = PastRulesOutputSerializer(
        many=True,
        read_only=True,
        help_text="Rules of earlier days, oldest first; a day is calculated by those of that day.",
    )

    def validate_paid_credentials(self, value: list[Credential]) -> list[str]:
        """Each once, in the order of the list of credentials."""
        return [one.value for one in Credential if one in value]

    def to_representation(self, instance: Any) -> Any:
        """The map in a fixed order."""
        shown = super().to_representation(instance)
        shown["services"].sort(key=lambda one: (one["part"], one["credential"]))
        return shown


class PayerChangeInputSerializer(PayerInputSerializer):
    """What changes of a payer, and from which day its rules do."""

    example = {
        "paid_credentials": ["physical_therapist", "occupational_therapist"],
        "in_force_from": "2026-04-01",
    }

    in_force_from = DayField(
        required=False,
        help_text="The first day for which the rules given here hold, e.g. `2026-03-08`; today if "
        "left out. Days before it keep theirs; an earlier day corrects what was entered wrongly.",
    )


class PayerOutputSerializer(PayerNameOutputSerializer):
    """A payer as it is read: desk and practitioners see only its name."""

    revision = serializers.IntegerField(required=False, help_text="Counts changes; the ETag.")
    unit_rule = EnumField(UnitRule, required=False, help_text="How it makes units from minutes.")
    visit_definition = EnumField(
        VisitDefinition, required=False, help_text="What it counts as one visit."
    )
    paid_credentials = serializers.ListField(
        child=EnumField(Credential), required=False, help_text="Credentials whose time it pays."
    )
    group_code = serializers.CharField(
        required=False, help_text="Code for time with several clients at once."
    )
    currency = serializers.CharField(required=False, help_text="Its currency, e.g. `USD`.")
    rates = RateSerializer(many=True, required=False, help_text="What it pays for a unit.")
    yearly_thresholds = YearlyThresholdSerializer(
        many=True, required=False, help_text="From what in a year it wants more said."
    )
    progress_note_rule = ProgressNoteRuleSerializer(
        required=False, allow_null=True, help_text="How often it asks for a progress note."
    )
    disclosure_address = serializers.CharField(required=False, help_text="Where exports go.")
    services = MappedServiceSerializer(
        many=True, required=False, help_text="Parts to service codes."
    )
    past_rules = PastRulesOutputSerializer(
        many=True, required=False, help_text="Rules of earlier days, oldest first."
    )

"""Authorizations, choices, exports and disclosures on the wire."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from billing.authorizations.selectors.naming import name_authorizations
from billing.authorizations.threshold_serializers import ThresholdBalanceOutputSerializer
from practice.http.examples import example_id
from practice.http.fields import DayField, InstantField, NameField, TextField, WholeNumberField
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.roles import DIAGNOSES
from practice.http.serializers import StrictSerializer

MAX_AMOUNT = 100_000
"""No authorization has more visits, units or minutes than this."""


class AuthorizedLineInputSerializer(StrictSerializer):
    """A service code that the payer authorized."""

    code = serializers.CharField(max_length=20, help_text="A service code, e.g. `STR15`.")
    units = WholeNumberField(
        required=False,
        allow_null=True,
        min_value=1,
        max_value=MAX_AMOUNT,
        help_text="Units of this code, e.g. 24; without: only the totals limit it.",
    )


AMOUNTS = ("visits", "units", "minutes")
"""What an authorization limits. Written by the names by which it is read, or by these."""


def _amount(what: str, example: int) -> WholeNumberField:
    return _number(f"{what} authorized, e.g. {example}; null or left out: not limited.")


def _short(name: str) -> WholeNumberField:
    return _number(f"`{name}_authorized` by its short name; give one of the two.")


def _number(told: str) -> WholeNumberField:
    return WholeNumberField(
        required=False, allow_null=True, min_value=1, max_value=MAX_AMOUNT, help_text=told
    )


class AuthorizationTermsInputSerializer(StrictSerializer):
    """What a payer authorized: period, visits, units, diagnoses."""

    number = NameField(max_length=60, help_text="The payer's number, e.g. `PA-2026-00417`.")
    member_id = NameField(
        max_length=60, help_text="The client's member id with the payer, e.g. `LHP-99812`."
    )
    starts_on = DayField(help_text="First day of the period, e.g. `2026-03-01`.")
    ends_on = DayField(help_text="Last day of the period, e.g. `2026-05-31`.")
    visits_authorized = _amount("Visits", 12)
    units_authorized = _amount("Units", 48)
    minutes_authorized = _amount("Minutes", 720)
    visits = _short("visits")
    units = _short("units")
    minutes = _short("minutes")
    lines = AuthorizedLineInputSerializer(
        many=True, required=False, help_text="Service codes authorized; none: every code."
    )
    practitioner_ids = serializers.ListField(
        child=serializers.UUIDField(),
        required=False,
        max_length=100,
        help_text="Practitioners it names, by id; none: all.",
    )
    diagnoses = serializers.ListField(
        child=serializers.CharField(max_length=8),
        required=False,
        max_length=12,
        help_text="ICD-10-CM codes, e.g. `M25.611`. Written by billing; read by billing and "
        "practitioners.",
    )
    coverage_order = WholeNumberField(
        required=False,
        min_value=1,
        max_value=9,
        help_text="Order of the coverage it belongs to, 1 for the first payer.",
    )

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Each amount once, by whichever of its names."""
        for name in AMOUNTS:
            as_read = f"{name}_authorized"
            if as_read not in attrs:
                continue
            if name in attrs:
                raise serializers.ValidationError(
                    {as_read: f"Give `{as_read}` or `{name}`, not both."}
                )
            attrs[name] = attrs.pop(as_read)
        return attrs


class AuthorizationInputSerializer(AuthorizationTermsInputSerializer):
    """An authorization to be recorded."""

    example = {
        "payer_id": example_id("payer"),
        "number": "PA-2026-00417",
        "member_id": "LHP-99812",
        "starts_on": "2026-03-01",
        "ends_on": "2026-05-31",
        "visits_authorized": 12,
        "units_authorized": 48,
        "lines": [{"code": "STR15", "units": 24}],
    }

    payer_id = serializers.UUIDField(help_text="The payer.")


class AuthorizationPatchInputSerializer(AuthorizationTermsInputSerializer):
    """Fields to be amended, with the reason; fields left out stay."""

    example = {
        "ends_on": "2026-06-30",
        "visits_authorized": 16,
        "reason": "extended by letter of 6 March",
    }

    reason = TextField(max_length=400, help_text="Why, e.g. `extended by letter of 2 May`.")

    def get_fields(self) -> dict[str, Any]:
        """Only the reason must be there."""
        fields = super().get_fields()
        for name, given in fields.items():
            given.required = name == "reason"
        return fields


class AuthorizationEndInputSerializer(StrictSerializer):
    """Ending an authorization early."""

    example = {"ends_on": "2026-04-30", "reason": "change of payer"}

    ends_on = DayField(help_text="Its last day, e.g. `2026-04-30`.")
    reason = TextField(max_length=400, help_text="Why, e.g. `change of payer`.")


class AuthorizationReasonInputSerializer(StrictSerializer):
    """Why an authorization is reopened or voided."""

    example = {"reason": "entered for another client"}

    reason = TextField(max_length=400, help_text="Why, e.g. `entered for another client`.")


class AuthorizationLineOutputSerializer(AuthorizedLineInputSerializer):
    """A service code of an authorization and what was used of it."""

    used = serializers.IntegerField(help_text="Units of this code used, e.g. 6.")


class AuthorizationOutputSerializer(StrictSerializer):
    """An authorization as it stands, with what is used and what is left."""

    id = serializers.UUIDField(help_text="Id of the authorization.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="The client's name; empty after an erasure.")
    payer_id = serializers.UUIDField(help_text="The payer.")
    payer_name = serializers.CharField(help_text="Its name.")
    number = serializers.CharField(help_text="The payer's number.")
    member_id = serializers.CharField(help_text="The client's member id with the payer.")
    starts_on = serializers.DateField(help_text="First day.")
    ends_on = serializers.DateField(help_text="Last day as authorized.")
    ended_on = serializers.DateField(allow_null=True, help_text="Last day where ended early.")
    voided_at = InstantField(
        allow_null=True, help_text="When it was voided as entered in error; null: it stands."
    )
    last_day = serializers.DateField(help_text="The last day that it covers.")
    coverage_order = serializers.IntegerField(help_text="Order of coverage.")
    visits_authorized = serializers.IntegerField(allow_null=True, help_text="Visits, e.g. 12.")
    visits_used = serializers.IntegerField(help_text="Visits used, e.g. 5.")
    visits_left = serializers.IntegerField(
        allow_null=True, help_text="Visits left; null: not limited; below 0: over-used."
    )
    units_authorized = serializers.IntegerField(allow_null=True, help_text="Units, e.g. 48.")
    units_used = serializers.IntegerField(help_text="Units used, e.g. 17.")
    units_reserved = serializers.IntegerField(help_text="Units that wait for a person's choice.")
    units_left = serializers.IntegerField(allow_null=True, help_text="Neither used nor reserved.")
    minutes_authorized = serializers.IntegerField(allow_null=True, help_text="Minutes, e.g. 720.")
    minutes_used = serializers.IntegerField(help_text="Timed minutes used, e.g. 260.")
    minutes_reserved = serializers.IntegerField(
        help_text="Minutes held back for units that wait for a person's choice."
    )
    minutes_left = serializers.IntegerField(
        allow_null=True, help_text="Neither used nor reserved; null: not limited."
    )
    over_used = serializers.BooleanField(help_text="Reduced below what was used, which stands.")
    used_after_end = serializers.ListField(
        child=serializers.DateField(),
        help_text="Days after its last day whose visits used it before it was ended or "
        "shortened; what was used stays used.",
    )
    used_before_start = serializers.ListField(
        child=serializers.DateField(),
        help_text="Days before its first day whose visits used it before its period was "
        "amended; what was used stays used.",
    )
    running_out = ReasonForm(
        many=True, help_text="Why it runs out: `visits`, `units`, `minutes` or `days`."
    )
    yearly_thresholds = ThresholdBalanceOutputSerializer(
        many=True, help_text="The payer's thresholds of today and the client's year so far."
    )
    warnings = ReasonForm(many=True, help_text="Things to see to; they forbid nothing.")
    lines = AuthorizationLineOutputSerializer(
        many=True, help_text="Service codes authorized; none: every code."
    )
    coverable_visits = serializers.IntegerField(
        required=False,
        help_text="In the answer of a command: how many visits, not or only partly covered, it "
        "would cover now; they wait on `coverable-visits`.",
    )
    practitioner_ids = serializers.ListField(
        child=serializers.UUIDField(), help_text="Practitioners it names; none: all."
    )
    diagnoses = serializers.ListField(
        child=serializers.CharField(),
        required=False,
        help_text="ICD-10-CM codes; absent for those who may not read them.",
    )

    def to_representation(self, instance: Any) -> Any:
        """With names and reasons; without diagnoses for roles that may not read them."""
        if not hasattr(instance, "client_name"):
            name_authorizations([instance])
        shown = super().to_representation(instance)
        if self.context["role"] not in DIAGNOSES:
            shown.pop("diagnoses")
        return shown

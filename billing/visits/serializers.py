"""Visits and the choices that a person makes for them, on the wire."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from billing.authorizations.domain.terms import (
    UNCOVERED_REASON_TEXT,
    CoverageStatus,
    Discipline,
    SharedTimeAnswer,
    UncoveredReason,
)
from billing.authorizations.threshold_serializers import ThresholdBalanceOutputSerializer
from billing.visits.amount_serializers import ExpectedAmountOutputSerializer, shown_row_amount
from billing.visits.domain.shared_answers import GivenAnswer
from billing.visits.selectors.visits import name_visits
from practice.core.terms import Credential, SessionPart
from practice.http.examples import example_id
from practice.http.fields import (
    EnumField,
    InstantField,
    KeptInstantField,
    TextField,
    WholeNumberField,
)
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.serializers import StrictSerializer

NO_PAYER = (
    "No authorization of this client is on record, so no payer is known whose rule makes units "
    "of the minutes. Record one and choose it for the visit."
)


class PartMinutesOutputSerializer(StrictSerializer):
    """Whole minutes of one part of the session."""

    part = EnumField(SessionPart, help_text="Part, e.g. `stretching`.")
    minutes = serializers.IntegerField(help_text="Minutes, e.g. 25.")


class SharedTimeOutputSerializer(StrictSerializer):
    """Time that a session shares with another one."""

    session_id = serializers.UUIDField(help_text="The other session.")
    starts_at = KeptInstantField(help_text="From when.")
    ends_at = KeptInstantField(help_text="Until when.")
    same_client = serializers.BooleanField(
        help_text="true: the same client, whoever worked; false: the same practitioner with "
        "another client."
    )
    same_class = serializers.BooleanField(
        help_text="true: both are places of one class, and nobody is asked whose the time is."
    )


class VisitSessionOutputSerializer(StrictSerializer):
    """One signed session of a visit."""

    session_id = serializers.UUIDField(required=False, help_text="The session.")
    note_id = serializers.UUIDField(required=False, help_text="Its note.")
    facility_id = serializers.UUIDField(help_text="Where.")
    facility_name = serializers.CharField(help_text="Its name.")
    practitioner_id = serializers.UUIDField(help_text="Who.")
    practitioner_name = serializers.CharField(help_text="The practitioner's name.")
    credential = EnumField(Credential, help_text="Under which credential.")
    minutes = PartMinutesOutputSerializer(many=True, help_text="Minutes of each part.")
    signed_at = KeptInstantField(help_text="When the note was signed.")
    signed_by = serializers.UUIDField(help_text="Account that signed it.")
    started_at = KeptInstantField(required=False, help_text="When it started.")
    ended_at = KeptInstantField(required=False, help_text="When it ended.")
    shared = SharedTimeOutputSerializer(
        many=True, required=False, help_text="Time that it shares with other sessions."
    )
    shared_answer = EnumField(
        SharedTimeAnswer,
        required=False,
        allow_null=True,
        help_text="Whose the shared minutes are, as a person said; null: nobody said yet.",
    )
    counted_shared_minutes = serializers.IntegerField(
        required=False,
        allow_null=True,
        help_text="Shared minutes that count for this session, e.g. 15; null: none until a "
        "person says whose they are.",
    )


class ExcludedMinutesOutputSerializer(StrictSerializer):
    """Minutes that nobody pays."""

    note_id = serializers.UUIDField(help_text="The note.")
    part = EnumField(
        SessionPart,
        allow_null=True,
        help_text="Part, e.g. `cardio`; null: shared or surplus minutes of a session with "
        "several parts.",
    )
    minutes = serializers.IntegerField(help_text="Minutes, e.g. 15.")
    code = serializers.CharField(required=False, help_text="Service code, where it has one.")
    uncovered_reason = EnumField(UncoveredReason, help_text="Why they are not paid.")


class UndecidedUnitsOutputSerializer(StrictSerializer):
    """Units that wait for a person's choice."""

    units = serializers.IntegerField(help_text="How many, e.g. 1.")
    max_by_code = serializers.DictField(
        child=serializers.IntegerField(), help_text='Most per code, e.g. `{"STR15": 1}`.'
    )
    undecided_reason = serializers.CharField(
        help_text="`equal_remainders`, `units_short` or `uncertain_minutes` (units sure in all "
        "but not by code)."
    )


class BillableUnitsOutputSerializer(StrictSerializer):
    """What all minutes of a visit would earn by the payer's rule, paid or not."""

    payer_id = serializers.UUIDField(help_text="The payer whose rule was taken.")
    timed_minutes = serializers.IntegerField(help_text="Timed minutes of the day, e.g. 45.")
    units = serializers.DictField(
        child=serializers.IntegerField(), help_text='Units per code, e.g. `{"STR15": 3}`.'
    )
    undecided_units = serializers.IntegerField(help_text="Units whose code a person would choose.")


class UncoveredReasonOutputSerializer(StrictSerializer):
    """Why something of a visit is not covered."""

    code = EnumField(UncoveredReason, help_text="Stable code, e.g. `no_visits_left`.")
    text = serializers.CharField(help_text="The same as a sentence.")


class FullCoverOutputSerializer(StrictSerializer):
    """An authorization that would cover all of a visit."""

    authorization_id = serializers.UUIDField(help_text="The authorization.")
    number = serializers.CharField(help_text="Its number, e.g. `PA-417`.")


class VisitOutputSerializer(StrictSerializer):
    """A client's treatment day in one discipline, as last calculated."""

    id = serializers.UUIDField(help_text="Id of the visit.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="The client's name; empty after an erasure.")
    local_date = serializers.DateField(help_text="The day it took place on, at the facility.")
    discipline = EnumField(Discipline, help_text="Discipline, e.g. `physical_therapy`.")
    authorization_id = serializers.UUIDField(allow_null=True, help_text="Authorization used.")
    payer_id = serializers.UUIDField(allow_null=True, help_text="The payer.")
    payer_name = serializers.CharField(help_text="Its name; empty where no payer is known.")
    unit_rule = serializers.CharField(help_text="Rule by which units were made.")
    covered = EnumField(CoverageStatus, help_text="`covered`, `partly` or `not_covered`.")
    self_paying = serializers.BooleanField(
        help_text="The client pays for themself on that day, as they stated."
    )
    reasons = serializers.SerializerMethodField(help_text="Why something is not covered.")
    sessions = VisitSessionOutputSerializer(many=True, help_text="The day's signed sessions.")
    timed_minutes = serializers.IntegerField(help_text="Timed minutes that count, e.g. 45.")
    expected_units = serializers.DictField(
        child=serializers.IntegerField(),
        help_text='Units per code that the minutes earn, e.g. `{"STR15": 2}`.',
    )
    expected_units_undecided = serializers.IntegerField(
        help_text="Units earned whose code nobody chose yet."
    )
    used_units = serializers.DictField(
        child=serializers.IntegerField(), help_text="Units per code used from the authorization."
    )
    used_minutes = serializers.IntegerField(
        help_text="Timed minutes used: all where every unit earned is used, else those of the "
        "codes used, at most 15 a unit, e.g. 30."
    )
    undecided = UndecidedUnitsOutputSerializer(
        allow_null=True, help_text="What waits for a choice; null: nothing."
    )
    excluded_minutes = ExcludedMinutesOutputSerializer(
        many=True, help_text="Minutes that nobody pays, and why."
    )
    authorization_chosen_by_person = serializers.BooleanField(
        source="chosen_by_person", help_text="A person named the authorization."
    )
    units_chosen_by_person = serializers.BooleanField(
        source="units_chosen", help_text="A person said which code gets units that waited."
    )
    billable_units = BillableUnitsOutputSerializer(
        allow_null=True, help_text="What all its minutes would earn, paid or not."
    )
    fully_covered_by = FullCoverOutputSerializer(
        many=True,
        help_text="Other authorizations that would cover all of a visit that is partly covered; "
        "name one to use it.",
    )
    expected_amount = serializers.SerializerMethodField(
        help_text="What the payer is expected to pay for the units used, by its rates of that "
        "day; null: no unit is used, or the record was erased."
    )
    yearly_thresholds = ThresholdBalanceOutputSerializer(
        many=True,
        help_text="The payer's thresholds of that day, and the client's year up to this visit.",
    )
    warnings = ReasonForm(many=True, help_text="Things to see to; they forbid nothing.")
    billable_units_unknown = serializers.SerializerMethodField(
        help_text="Why `worth` is null; empty where it is known."
    )
    calculated_at = InstantField(help_text="When it was last calculated.")

    def to_representation(self, instance: Any) -> Any:
        """With names, where a list has not put it there already."""
        if not hasattr(instance, "client_name"):
            name_visits([instance])
        return super().to_representation(instance)

    def get_billable_units_unknown(self, row: Any) -> str:
        """No payer, no rule to make units by."""
        return "" if row.billable_units else NO_PAYER

    @extend_schema_field(ExpectedAmountOutputSerializer(allow_null=True))
    def get_expected_amount(self, row: Any) -> dict[str, Any] | None:
        """With its total, where each code has a rate."""
        return shown_row_amount(row.expected_amount)

    @extend_schema_field(UncoveredReasonOutputSerializer(many=True))
    def get_reasons(self, row: Any) -> list[dict[str, str]]:
        """The reasons with their sentences."""
        return [
            {
                "code": uncovered_reason,
                "text": UNCOVERED_REASON_TEXT[UncoveredReason(uncovered_reason)],
            }
            for uncovered_reason in row.uncovered_reasons
        ]


class SharedTimeAnswerInputSerializer(StrictSerializer):
    """Whose the minutes are that sessions share: one minute counts once."""

    session_id = serializers.UUIDField(help_text="A session of this visit that shares time.")
    answer = EnumField(
        SharedTimeAnswer,
        help_text="`all_to_one`: all shared minutes count for this session and for no other; "
        "`divided`: as in `minutes`; `group`: one untimed unit for each client.",
    )
    minutes = serializers.DictField(
        child=WholeNumberField(min_value=0, max_value=1440),
        required=False,
        allow_empty=False,
        help_text="Where divided: for each session that shares the time, by its id, how many of "
        "its shared minutes count for it, e.g. 20. Together no more than the clock; each "
        "discipline of one client but one a multiple of 15.",
    )

    def to_internal_value(self, data: Any) -> Any:
        """The answer as the command takes it."""
        return GivenAnswer(**super().to_internal_value(data))

    def validate_minutes(self, value: dict[str, int]) -> dict[UUID, int]:
        """By the sessions' ids; 400 for a name that is none."""
        try:
            return {UUID(name): count for name, count in value.items()}
        except ValueError as error:
            raise serializers.ValidationError("Name sessions by their ids.") from error


class VisitOverrideInputSerializer(StrictSerializer):
    """A person's choice: the code of units that wait, the authorization, or whose minutes."""

    example = {"authorization_id": example_id("authorization"), "reason": "as the payer wrote"}

    units = serializers.DictField(
        child=WholeNumberField(min_value=0, max_value=100),
        required=False,
        allow_empty=False,
        help_text='Which code gets the units that wait, e.g. `{"STR15": 1}`.',
    )
    authorization_id = serializers.UUIDField(
        required=False, help_text="Or: which authorization the visit uses, from now on."
    )
    shared_time = SharedTimeAnswerInputSerializer(
        required=False, help_text="Or: whose the minutes are that a session shares with others."
    )
    reason = TextField(
        max_length=400, required=False, allow_blank=True, help_text="Why, e.g. `as the plan says`."
    )

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """One choice at a time."""
        if len(attrs.keys() & {"units", "authorization_id", "shared_time"}) != 1:
            raise serializers.ValidationError(
                {"units": "Give one of units, authorization_id, shared_time: one choice at a time."}
            )
        return attrs

"""The health history as it is told, reviewed and read."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any, ClassVar
from uuid import uuid4

from rest_framework import serializers

from clients.health.domain.commands import ReportHistory, ReviewHistory
from clients.health.domain.terms import (
    BloodCountKind,
    ClearanceNeed,
    ClosedWork,
    ConditionKind,
    NeckHistory,
    OperationApproach,
    OperationKind,
    WordsEffect,
)
from clients.health.examples import HISTORY_REPORT, HISTORY_REVIEW
from clients.health.fields import BodySiteSerializer, NumberField
from clients.identity.domain.partial_dates import DatePrecision, date_text
from clients.identity.fields import LONGEST_TEXT, PartialDateField, occurred_at_field
from practice.core.terms import Region, Side
from practice.http.fields import (
    DayField,
    EnumField,
    FlagField,
    NameField,
    TextField,
    WholeNumberField,
)
from practice.http.serializers import RecordSerializer, StrictSerializer, build_command

MAX_ENTRIES = 50


class EntryInputSerializer(StrictSerializer):
    """An entry that keeps its id when it is taken over, and gets one when it is new."""

    partial_dates: ClassVar[tuple[str, ...]] = ()

    id = serializers.UUIDField(required=False, help_text="Id of an entry that is taken over.")

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Gives a new entry its id and leaves out what was not said."""
        said = {key: value for key, value in attrs.items() if value is not None}
        for name in self.partial_dates:
            if name in said:
                said[name], said[f"{name}_precision"] = said[name]
        return {"id": uuid4(), **said}

    def to_representation(self, instance: Any) -> Any:
        """A date as far as it is known, as it can be sent again."""
        shown = super().to_representation(instance)
        for name in self.partial_dates:
            if isinstance(instance, Mapping) and instance.get(name):
                precision = DatePrecision(instance.get(f"{name}_precision", DatePrecision.DAY))
                last = date.fromisoformat(str(instance[name]))
                shown[name] = date_text(last, precision)
        return shown


def _entries(form: type[EntryInputSerializer], help_text: str) -> serializers.BaseSerializer[Any]:
    about: dict[str, Any] = {"many": True, "required": False, "max_length": MAX_ENTRIES}
    return form(help_text=help_text, **about)


def _flag(help_text: str) -> FlagField:
    return FlagField(required=False, allow_null=True, help_text=help_text)


def _text(help_text: str) -> TextField:
    return TextField(required=False, allow_blank=True, max_length=LONGEST_TEXT, help_text=help_text)


class OperationInputSerializer(EntryInputSerializer):
    """One operation; what is left out is not known and counts as not safe."""

    kind = EnumField(OperationKind, help_text="E.g. `mastectomy`.")
    side = EnumField(Side, help_text="`left`, `right`, or `both` (also for the middle).")
    partial_dates = ("on",)
    on = PartialDateField(
        required=False,
        allow_null=True,
        help_text="Date as far as it is known: `2026-01-12`, `2026-01` or `2026`. Weeks count"
        " from the last day that it can have been.",
    )
    planned = FlagField(
        required=False, help_text="It lies ahead, on that day; e.g. false. Later it is reviewed."
    )
    approach = EnumField(
        OperationApproach,
        required=False,
        allow_null=True,
        help_text="Of abdomen or pelvis: `keyhole` or `open`; not known counts as the strictest.",
    )
    regions = serializers.ListField(
        child=EnumField(Region),
        required=False,
        max_length=len(Region),
        help_text="Regions it touched beyond those of its kind.",
    )
    incision_healed = _flag("The incision is healed.")
    drains_out = _flag("Drains are out, or none were placed.")
    donor_incision_healed = _flag("The donor incision (back, abdomen) is healed.")
    expander_in = _flag("A tissue expander is in.")
    stands_erect = _flag("After an abdominal flap: the client stands upright.")
    text = _text("Anything else about it.")


class RadiationInputSerializer(EntryInputSerializer):
    """One course of radiation."""

    sites = BodySiteSerializer(many=True, allow_empty=False, help_text="What was irradiated.")
    partial_dates = ("from_date", "until_date")
    from_date = PartialDateField(
        required=False, allow_null=True, help_text="First day, e.g. `2026-01-12` or `2026-01`."
    )
    until_date = PartialDateField(
        required=False, allow_null=True, help_text="Last day, e.g. `2026-02-20` or `2026-02`."
    )
    skin_broken = _flag("Skin there is broken now; false: looked at and whole.")
    skin_seen_on = DayField(
        required=False,
        allow_null=True,
        help_text="Day of that look, e.g. `2026-03-02`; in the course and for weeks after it only "
        "a look of the same day counts.",
    )


class WordsReviewedSerializer(StrictSerializer):
    """What an evaluating practitioner says of a condition in free words."""

    effect = EnumField(WordsEffect, help_text="`no_effect`, `caution` or `closes`.")
    reason = TextField(max_length=LONGEST_TEXT, help_text="Why, or what to heed.")
    closes = serializers.ListField(
        child=EnumField(ClosedWork),
        required=False,
        max_length=len(ClosedWork),
        help_text="Where it closes: `hands_on`, `assisted_stretching` (contract-relax and "
        "passive), `load`, `all_work`; at the sites of the condition, without sites everywhere.",
    )


class ConditionInputSerializer(EntryInputSerializer):
    """A condition; without sites it counts for the whole body."""

    kind = EnumField(
        ConditionKind,
        help_text="E.g. `cording`; `other` is in free words and closes hands-on work until "
        "`reviewed`.",
    )
    sites = BodySiteSerializer(many=True, required=False, help_text="Where.")
    partial_dates = ("since",)
    since = PartialDateField(
        required=False,
        allow_null=True,
        help_text="Since when, as far as it is known: `2026-01-12`, `2026-01` or `2026`; of "
        "seizures and falls the latest.",
    )
    until = DayField(
        required=False,
        allow_null=True,
        help_text="Last day, of chemotherapy, anticoagulants, a port or a compression garment.",
    )
    suspected = FlagField(required=False, help_text="Suspected, not known, e.g. false.")
    accessed_from = DayField(
        required=False, allow_null=True, help_text="Of a port: first day with the needle in it."
    )
    accessed_until = DayField(
        required=False, allow_null=True, help_text="Last day with it; null: it is in still."
    )
    reviewed = WordsReviewedSerializer(
        required=False,
        allow_null=True,
        help_text="What free words mean, said in a review by a practitioner who may evaluate.",
    )
    text = _text("Anything else about it.")


class BloodCountInputSerializer(EntryInputSerializer):
    """One blood count."""

    kind = EnumField(
        BloodCountKind,
        help_text="`neutrophils` (per microliter), `platelets` (10^9 per liter), `hemoglobin` "
        "(grams per deciliter).",
    )
    value = NumberField(
        min_value=0, max_value=100_000, help_text="In the unit of its kind, e.g. 48."
    )
    drawn_on = DayField(help_text="Day of drawing, e.g. `2026-03-02`.")


class HealthHistorySerializer(StrictSerializer):
    """A health history; not asked is not `none`."""

    operations = _entries(OperationInputSerializer, "Operations.")
    radiations = _entries(RadiationInputSerializer, "Radiation.")
    conditions = _entries(ConditionInputSerializer, "Conditions.")
    blood_counts = _entries(BloodCountInputSerializer, "Blood counts.")
    neck = EnumField(NeckHistory, required=False, help_text="`not_asked` by default.")
    clearance_need = EnumField(
        ClearanceNeed,
        required=False,
        help_text="Whether clearance before loading is `needed`, `not_needed`, or `not_asked`.",
    )
    pathology_under_treatment = FlagField(
        required=False,
        allow_null=True,
        help_text="False only where a reviewer found none under treatment; null: not asked, "
        "which counts as true.",
    )
    usual_pain = WholeNumberField(
        required=False,
        allow_null=True,
        min_value=0,
        max_value=10,
        help_text="Pain at rest on an ordinary day, 0-10, e.g. 2.",
    )
    text = _text("Anything else: it is kept as a condition of kind `other`.")

    def _command(self, kind: type[Any], *outside: str) -> Any:
        given = {key: value for key, value in self.validated_data.items() if value is not None}
        about = {key: given.pop(key) for key in outside if key in given}
        return build_command(kind, {"content": given, **about})


class HistoryReportInputSerializer(HealthHistorySerializer):
    """A health history as the desk was told it."""

    example = HISTORY_REPORT

    informant = NameField(
        required=False, allow_blank=True, max_length=120, help_text="Who told it, e.g. `client`."
    )
    occurred_at = occurred_at_field()

    def to_command(self, **more: Any) -> ReportHistory:
        """The report as a command."""
        made: ReportHistory = self._command(ReportHistory, "informant", "occurred_at")
        return made


class HistoryReviewInputSerializer(HealthHistorySerializer):
    """A health history as a practitioner found it, whole."""

    example = HISTORY_REVIEW

    occurred_at = occurred_at_field()

    def to_command(self, **more: Any) -> ReviewHistory:
        """The review as a command."""
        made: ReviewHistory = self._command(ReviewHistory, "occurred_at")
        return made


class HistoryReportOutputSerializer(RecordSerializer):
    """A report that waits for review."""

    report_id = serializers.UUIDField(help_text="Id of the report.")
    content = HealthHistorySerializer(help_text="What was told.")
    informant = serializers.CharField(help_text="Who told it.")
    occurred_at = serializers.DateTimeField(help_text="When.")


class HealthHistoryOutputSerializer(RecordSerializer):
    """The reviewed history, and the reports that wait for review."""

    status = serializers.CharField(help_text="`none`, `reported` or `reviewed`.")
    reviewed = HealthHistorySerializer(allow_null=True, help_text="As reviewed last.")
    reviewed_at = serializers.DateTimeField(allow_null=True, help_text="When.")
    reviewed_by = serializers.UUIDField(allow_null=True, help_text="By which practitioner.")
    reports = HistoryReportOutputSerializer(
        many=True, help_text="Reports since; they narrow until reviewed."
    )
    version = serializers.IntegerField(help_text="Version of the client's whole record; the ETag.")


class HistoryReportReceiptOutputSerializer(RecordSerializer):
    """A report was taken; it narrows at once."""

    report_id = serializers.UUIDField(help_text="Id of the report.")
    status = serializers.CharField(help_text="`reported` or `reviewed`: where the history stands.")
    version = serializers.IntegerField(help_text="Version of the client's whole record; the ETag.")

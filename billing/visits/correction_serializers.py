"""What a payer's corrected rules change of visits, on the wire."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from billing.authorizations.domain.events import VisitCalculated
from billing.authorizations.domain.terms import CoverageStatus, Discipline
from billing.authorizations.models import Visit
from billing.visits.amount_serializers import ExpectedAmountOutputSerializer, shown_amount
from billing.visits.selectors.rule_corrections import Corrections
from clients.identity.display_names import with_display_names
from practice.http.examples import example_version
from practice.http.fields import DayField, EnumField, TextField
from practice.http.serializers import StrictSerializer


class CorrectionQuerySerializer(StrictSerializer):
    """Which days to look at."""

    def get_fields(self) -> dict[str, Any]:
        """``from`` is a word of the language."""
        fields = super().get_fields()
        fields["from"] = DayField(
            required=False, help_text="Visits on this day or later, e.g. `2026-03-01`."
        )
        fields["to"] = DayField(
            required=False, help_text="Visits on this day or earlier, e.g. `2026-03-31`."
        )
        return fields


class CorrectionInputSerializer(CorrectionQuerySerializer):
    """The act: the same days, what was shown, and why."""

    example = {
        "version": example_version("corrections"),
        "reason": "the payer's letter of 3 March",
        "from": "2026-03-01",
        "to": "2026-03-31",
    }

    version = serializers.RegexField(
        r"\A[0-9a-f]{64}\Z", help_text="`version` of the changes as they were shown."
    )
    reason = TextField(max_length=400, help_text="Why, e.g. `the payer's letter of 3 March`.")


class CorrectedStateOutputSerializer(StrictSerializer):
    """A visit by one set of rules."""

    expected_units = serializers.DictField(
        child=serializers.IntegerField(), help_text='Units earned, e.g. `{"STR15": 2}`.'
    )
    expected_units_undecided = serializers.IntegerField(
        help_text="Units earned whose code nobody chose yet."
    )
    used_units = serializers.DictField(
        child=serializers.IntegerField(), help_text="Units used of the authorization, per code."
    )
    undecided_units = serializers.IntegerField(help_text="Units that wait for a choice, e.g. 0.")
    timed_minutes = serializers.IntegerField(help_text="Timed minutes that count, e.g. 45.")
    covered = EnumField(CoverageStatus, help_text="`covered`, `partly` or `not_covered`.")
    expected_amount = ExpectedAmountOutputSerializer(
        allow_null=True, help_text="For the units used; null: none are used."
    )


class CorrectedVisitOutputSerializer(StrictSerializer):
    """A visit before and after."""

    visit_id = serializers.UUIDField(help_text="The visit.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="The client's name.")
    local_date = serializers.DateField(help_text="The day it took place on.")
    discipline = EnumField(Discipline, help_text="Discipline, e.g. `physical_therapy`.")
    before = CorrectedStateOutputSerializer(help_text="As it stands.")
    after = CorrectedStateOutputSerializer(help_text="By the rules of its day.")


class CorrectionsOutputSerializer(StrictSerializer):
    """What the rules change, whole, and the version to give back with the act."""

    version = serializers.CharField(help_text="To be given with the act; 64 hexadecimal digits.")
    visits = CorrectedVisitOutputSerializer(many=True, help_text="The visits, client by client.")


def serialize_corrections(found: Corrections) -> dict[str, Any]:
    """The changes with the names of the clients; the same queries for any number."""
    ids = [one.after.visit_id for one in found.visits]
    rows = {row.pk: row for row in with_display_names(Visit.objects.filter(pk__in=ids))}
    shown = [
        {
            "visit_id": one.after.visit_id,
            "client_id": rows[one.after.visit_id].client_id,
            "client_name": rows[one.after.visit_id].client_name,  # type: ignore[attr-defined]
            "local_date": one.after.local_date,
            "discipline": one.after.discipline,
            "before": _state(one.before),
            "after": _state(one.after),
        }
        for one in found.visits
    ]
    plain: dict[str, Any] = CorrectionsOutputSerializer(
        {"version": found.version, "visits": shown}
    ).data
    return plain


def _state(visit: VisitCalculated) -> dict[str, Any]:
    return {
        "expected_units": visit.expected_units,
        "expected_units_undecided": visit.expected_units_undecided,
        "used_units": visit.used_units,
        "undecided_units": visit.undecided.units if visit.undecided else 0,
        "timed_minutes": visit.timed_minutes,
        "covered": visit.covered,
        "expected_amount": shown_amount(visit.expected_amount),
    }

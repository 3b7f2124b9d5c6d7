"""Visits that would be covered now, on the wire."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from billing.authorizations.domain.events import UsageChange, VisitCalculated
from billing.authorizations.domain.terms import CoverageStatus, Discipline, UncoveredReason
from billing.authorizations.models import Visit
from billing.visits.correction_serializers import CorrectionQuerySerializer
from billing.visits.domain.coverage import CoverSelection
from billing.visits.domain.rule_corrections import CorrectedVisit
from billing.visits.selectors.coverage import AmountsLeft, Coverage
from clients.identity.display_names import with_display_names
from practice.http.examples import example_id, example_version
from practice.http.fields import EnumField, FlagField, TextField
from practice.http.serializers import StrictSerializer

MAX_NAMED = 100
"""No request names more visits than this: so many ids fit into one line of a request."""


@extend_schema_field(
    {
        "type": "string",
        "example": "5b0c7a52-6f0e-4f0c-9a51-2f4c1de0a7b1,0f3f8f0a-1c64-4d0e-8f52-6f7b1c2d3e4f",
    }
)
class IdsOfQueryField(serializers.ListField):
    """Ids with commas between them."""

    def to_internal_value(self, data: Any) -> Any:
        """The ids of a word of the query string; 400 for anything that is none, or too many."""
        named = data.split(",") if isinstance(data, str) else data
        if len(named) > MAX_NAMED:
            raise serializers.ValidationError(f"Name at most {MAX_NAMED} visits.")
        return super().to_internal_value(named)


class CoverageChoiceSerializer(CorrectionQuerySerializer):
    """Which visits to look at, and by what they would be covered."""

    client_id = serializers.UUIDField(required=False, help_text="Of one client.")
    payer_id = serializers.UUIDField(
        required=False, help_text="That an authorization of one payer would cover."
    )
    authorization_id = serializers.UUIDField(
        required=False, help_text="That one authorization would cover."
    )
    given_back = FlagField(
        required=False,
        help_text="true: those that a person gave back too, e.g. false.",
    )

    @staticmethod
    def selection(given: dict[str, Any]) -> CoverSelection:
        """What was asked for, as the decision takes it."""
        named = given.get("visit_ids")
        return CoverSelection(
            client_id=given.get("client_id"),
            payer_id=given.get("payer_id"),
            authorization_id=given.get("authorization_id"),
            first=given.get("from"),
            last=given.get("to"),
            visit_ids=None if named is None else frozenset(named),
            given_back=given.get("given_back", False),
        )


class CoverageQuerySerializer(CoverageChoiceSerializer):
    """The choice in a query string."""

    visit_ids = IdsOfQueryField(
        child=serializers.UUIDField(),
        required=False,
        allow_empty=False,
        help_text="Only these visits, those given back too; at most 100 ids with commas between.",
    )


class CoverageInputSerializer(CoverageChoiceSerializer):
    """The act: the same choice as shown, its version, and why."""

    example = {
        "client_id": example_id("client"),
        "version": example_version("coverable visits"),
        "reason": "recorded late",
    }

    visit_ids = serializers.ListField(
        child=serializers.UUIDField(),
        required=False,
        allow_empty=False,
        max_length=MAX_NAMED,
        help_text="Only these visits, those given back too.",
    )
    version = serializers.RegexField(
        r"\A[0-9a-f]{64}\Z", help_text="`version` of the list as it was shown for this choice."
    )
    reason = TextField(max_length=400, help_text="Why, e.g. `extended by letter of 2 May`.")

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """A choice of visits, a client or an authorization: never the whole practice at once."""
        if not attrs.keys() & {"client_id", "authorization_id", "visit_ids"}:
            raise serializers.ValidationError(
                {"visit_ids": "Name the visits, or a client_id, or an authorization_id."}
            )
        return {
            "selection": self.selection(attrs),
            "version": attrs["version"],
            "reason": attrs["reason"],
        }


class GiveBackInputSerializer(StrictSerializer):
    """Why a visit gives back what it used."""

    example = {"reason": "billed to the accident insurer"}

    reason = TextField(max_length=400, help_text="Why, e.g. `billed to the accident insurer`.")


class CoverableVisitOutputSerializer(StrictSerializer):
    """A visit that would be covered, and what it would take."""

    visit_id = serializers.UUIDField(help_text="The visit.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="The client's name.")
    local_date = serializers.DateField(help_text="The day it took place on.")
    discipline = EnumField(Discipline, help_text="Discipline, e.g. `physical_therapy`.")
    covered = EnumField(
        CoverageStatus,
        help_text="As it stands, e.g. `not_covered`; in the answer of the act, after it.",
    )
    uncovered_reasons = serializers.ListField(
        child=EnumField(UncoveredReason), help_text="Why, as it stands."
    )
    given_back = serializers.BooleanField(help_text="A person gave it back.")
    authorization_id = serializers.UUIDField(help_text="What would cover it.")
    authorization_number = serializers.CharField(help_text="Its number, e.g. `PA-417`.")
    payer_id = serializers.UUIDField(help_text="Its payer.")
    visits = serializers.IntegerField(help_text="Visits that it would take, e.g. 1.")
    units = serializers.DictField(
        child=serializers.IntegerField(), help_text='Units that it would take, e.g. `{"STR15": 2}`.'
    )
    undecided_units = serializers.IntegerField(
        help_text="Units that it would hold until a person chooses their code, e.g. 0."
    )
    minutes = serializers.IntegerField(help_text="Timed minutes that it would take, e.g. 30.")
    covered_then = EnumField(CoverageStatus, help_text="How it would be covered.")
    uncovered_reasons_then = serializers.ListField(
        child=EnumField(UncoveredReason), help_text="Why something would still not be covered."
    )


class AmountsLeftOutputSerializer(StrictSerializer):
    """What an authorization has left once all visits of the list are covered."""

    authorization_id = serializers.UUIDField(help_text="The authorization.")
    number = serializers.CharField(help_text="Its number, e.g. `PA-417`.")
    payer_id = serializers.UUIDField(help_text="Its payer.")
    visits_left = serializers.IntegerField(allow_null=True, help_text="null: not limited.")
    units_left = serializers.IntegerField(allow_null=True, help_text="null: not limited.")
    minutes_left = serializers.IntegerField(allow_null=True, help_text="null: not limited.")


class CoverageOutputSerializer(StrictSerializer):
    """The visits in the order in which they would be covered, and what is left after all."""

    version = serializers.CharField(help_text="To be given with the act; 64 hexadecimal digits.")
    visits = CoverableVisitOutputSerializer(
        many=True, help_text="The visits, client by client, oldest first."
    )
    left = AmountsLeftOutputSerializer(
        many=True, help_text="What the authorizations have left after all of them."
    )


def serialize_coverage(found: Coverage, *, done: bool = False) -> dict[str, Any]:
    """The list with the names of the clients; the same queries for any number. ``done``: they
    are covered, and shown as they stand after it."""
    ids = [one.after.visit_id for one in found.visits]
    rows = with_display_names(Visit.objects.filter(pk__in=ids))
    names = {row.pk: row.client_name for row in rows}  # type: ignore[attr-defined]
    shown = [
        {
            **_visit(one.after if done else one.before, one.after),
            "client_id": client_id,
            "client_name": names[one.after.visit_id],
            "authorization_number": found.authorization(client_id, one).terms.number,
        }
        for client_id, one in _by_client(found)
    ]
    plain: dict[str, Any] = CoverageOutputSerializer(
        {"version": found.version, "visits": shown, "left": [_left(one) for one in found.left]}
    ).data
    return plain


def _by_client(found: Coverage) -> list[tuple[UUID, CorrectedVisit]]:
    return [(client_id, one) for client_id, some in found.by_client.items() for one in some.visits]


def _visit(before: VisitCalculated, after: VisitCalculated) -> dict[str, Any]:
    takes = next(
        (one for one in after.usage_changes if one.authorization_id == after.authorization_id),
        UsageChange(authorization_id=after.visit_id),
    )
    return {
        "visit_id": after.visit_id,
        "local_date": after.local_date,
        "discipline": after.discipline,
        "covered": before.covered,
        "uncovered_reasons": before.uncovered_reasons,
        "given_back": before.given_back,
        "authorization_id": after.authorization_id,
        "payer_id": after.payer_id,
        "visits": takes.visits,
        "units": takes.by_code,
        "undecided_units": takes.reserved,
        "minutes": takes.minutes,
        "covered_then": after.covered,
        "uncovered_reasons_then": after.uncovered_reasons,
    }


def _left(one: AmountsLeft) -> dict[str, Any]:
    return {
        "authorization_id": one.authorization.id,
        "number": one.authorization.terms.number,
        "payer_id": one.authorization.payer_id,
        "visits_left": one.visits,
        "units_left": one.units,
        "minutes_left": one.minutes,
    }

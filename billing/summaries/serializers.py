"""Visit summaries and disclosures on the wire."""

from __future__ import annotations

from rest_framework import serializers

from practice.http.fields import DayField, FlagField, InstantField, TextField
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.serializers import StrictSerializer


class VisitSummaryInputSerializer(StrictSerializer):
    """An export: to whom and why; each is a disclosure."""

    example = {
        "recipient": "Lakeshore claims",
        "purpose": "review of visits in March",
        "starts_on": "2026-03-01",
        "ends_on": "2026-03-31",
    }

    recipient = TextField(max_length=200, help_text="Who receives it, e.g. `Lakeshore claims`.")
    purpose = TextField(max_length=200, help_text="Why, e.g. `review of visits in May`.")
    starts_on = DayField(required=False, help_text="First day; default: of the authorization.")
    ends_on = DayField(required=False, help_text="Last day; default: of the authorization.")
    no_visits = FlagField(
        required=False,
        help_text="true: a statement that there were no visits is wanted where there are none.",
    )


class VisitSummaryReferenceOutputSerializer(StrictSerializer):
    """Where the summary is downloaded."""

    id = serializers.UUIDField(help_text="Id of the visit summary and of its disclosure.")
    href = serializers.CharField(help_text="Where to download it as CSV.")
    available_until = InstantField(help_text="Until when, e.g. `2026-05-03T09:00:00Z`.")
    warnings = ReasonForm(many=True, help_text="What to settle before it is sent; nothing: fine.")


class DisclosureOutputSerializer(StrictSerializer):
    """Something that left the practice."""

    id = serializers.UUIDField(help_text="Id of the disclosure.")
    disclosed_at = InstantField(help_text="When.")
    disclosed_by = serializers.UUIDField(help_text="Account that released it.")
    disclosed_by_name = serializers.CharField(help_text="Its name, e.g. `Ana Rivera`.")
    what = serializers.CharField(help_text="What, e.g. `authorized_visit_summary`.")
    recipient = serializers.CharField(help_text="To whom.")
    purpose = serializers.CharField(help_text="Why.")
    starts_on = serializers.DateField(allow_null=True, help_text="First day it speaks of.")
    ends_on = serializers.DateField(allow_null=True, help_text="Last day it speaks of.")
    authorization_id = serializers.UUIDField(allow_null=True, help_text="The authorization.")
    payer_id = serializers.UUIDField(allow_null=True, help_text="The payer.")

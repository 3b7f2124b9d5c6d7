"""Visit summaries and disclosures on the wire."""

from __future__ import annotations

from rest_framework import serializers

from billing.summaries.domain.decisions import ExportSummary
from practice.http.fields import DayField, FlagField, InstantField, NameField, TextField
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.serializers import StrictSerializer

DIGESTS = (
    "SHA-256 of the bytes of each form in which it is kept, in hexadecimal: `json`, `plain`, "
    "`spreadsheet`."
)


class VisitSummaryInputSerializer(StrictSerializer):
    """An export: to whom and why; each is a disclosure."""

    command = ExportSummary
    example = {
        "recipient": "Lakeshore claims",
        "overrule": "Asked for today; the choice follows as a correction.",
        "purpose": "review of visits in March",
        "starts_on": "2026-03-01",
        "ends_on": "2026-03-31",
    }

    recipient = NameField(max_length=200, help_text="Who receives it, e.g. `Lakeshore claims`.")
    purpose = TextField(max_length=200, help_text="Why, e.g. `review of visits in May`.")
    starts_on = DayField(required=False, help_text="First day; default: of the authorization.")
    ends_on = DayField(required=False, help_text="Last day; default: of the authorization.")
    no_visits = FlagField(
        required=False,
        help_text="true: a statement that there were no visits is wanted where there are none.",
    )
    diagnoses = FlagField(
        required=False,
        help_text="true: with the diagnoses; for roles that read them, and then for them alone. "
        "Default: without.",
    )
    overrule = TextField(
        required=False,
        max_length=500,
        help_text="Why it is sent although units of its visits wait for a person's choice.",
    )


class VisitSummaryReferenceOutputSerializer(StrictSerializer):
    """Where the summary is read, for ever the same."""

    id = serializers.UUIDField(help_text="Id of the visit summary and of its disclosure.")
    href = serializers.CharField(help_text="Where to read it as CSV or JSON.")
    sha256 = serializers.DictField(child=serializers.CharField(), help_text=DIGESTS)
    warnings = ReasonForm(many=True, help_text="What to settle before it is sent; nothing: fine.")


class FieldCorrectionOutputSerializer(StrictSerializer):
    """A field of a row: what was sent and what is true now."""

    service_code = serializers.CharField(help_text="The row's code, e.g. `STR15`; may be empty.")
    field = serializers.CharField(help_text="Column, e.g. `units`.")
    sent = serializers.JSONField(help_text="What was sent, e.g. 2; null: no such row.")
    now = serializers.JSONField(help_text="What is true now, e.g. 3; null: no such row any more.")


class CorrectionReasonOutputSerializer(StrictSerializer):
    """What changed a visit."""

    recorded_at = InstantField(help_text="When it was recorded.")
    what = serializers.CharField(help_text="What, e.g. `an addendum corrected the note`.")
    reason = serializers.CharField(help_text="The reason given; may be empty.")


class VisitCorrectionOutputSerializer(StrictSerializer):
    """A visit that is not any more as a summary said."""

    summary_id = serializers.UUIDField(help_text="The summary that said otherwise.")
    sent_at = InstantField(help_text="When that was sent.")
    visit_id = serializers.UUIDField(help_text="The visit.")
    date = serializers.DateField(help_text="Its day.")
    discipline = serializers.CharField(help_text="Its discipline, e.g. `physical therapy`.")
    corrected_fields = FieldCorrectionOutputSerializer(many=True, help_text="Field by field.")
    reasons = CorrectionReasonOutputSerializer(many=True, help_text="What changed it since.")


class SummaryHeadingOutputSerializer(StrictSerializer):
    """Whose authorization, of which payer, over which days."""

    summary_id = serializers.UUIDField(help_text="Id of the summary.")
    exported_on = serializers.DateField(help_text="The day it was made, on the practice's clock.")
    practice = serializers.CharField(help_text="The practice.")
    client = serializers.CharField(help_text="The client.")
    birth_date = serializers.DateField(allow_null=True, help_text="Born on.")
    payer = serializers.CharField(help_text="The payer.")
    authorization_number = serializers.CharField(help_text="E.g. `PA-417`.")
    member_id = serializers.CharField(help_text="E.g. `LHP-99812`.")
    authorized_from = serializers.DateField(help_text="First day authorized.")
    authorized_until = serializers.DateField(help_text="Last day authorized.")
    ended_on = serializers.DateField(allow_null=True, help_text="Last day where ended early.")
    diagnoses = serializers.ListField(
        child=serializers.CharField(), help_text="ICD-10-CM codes, where they were asked for."
    )
    period_start = serializers.DateField(help_text="First day of the summary.")
    period_end = serializers.DateField(help_text="Last day of the summary.")


class SummaryRowOutputSerializer(StrictSerializer):
    """One visit × service code; the CSV has the same columns, but for the ids."""

    visit_id = serializers.UUIDField(help_text="The visit.")
    date = serializers.DateField(help_text="Its day at the facility.")
    discipline = serializers.CharField(help_text="E.g. `physical therapy`.")
    facility_ids = serializers.ListField(child=serializers.UUIDField(), help_text="Where.")
    facility = serializers.CharField(help_text="Names of the facilities.")
    practitioner_ids = serializers.ListField(child=serializers.UUIDField(), help_text="Who.")
    practitioner = serializers.CharField(help_text="Names of the practitioners.")
    credential = serializers.CharField(help_text="E.g. `physical therapist`.")
    npi = serializers.CharField(help_text="Their NPIs.")
    service_code = serializers.CharField(help_text="E.g. `STR15`; empty: work without a code.")
    description = serializers.CharField(help_text="The practice's description of the code.")
    minutes = serializers.IntegerField(help_text="Minutes noted under this code, e.g. 33.")
    units = serializers.IntegerField(help_text="Units used, e.g. 2.")
    units_waiting_at_most = serializers.IntegerField(
        help_text="So many more of this code may come of a choice that a person has yet to make."
    )
    covered = serializers.CharField(
        help_text="Of the visit: `covered`, `partly`, `not covered`, `waits for a choice`."
    )
    reasons = serializers.CharField(help_text="Why something of the visit is not covered.")
    used_after_end = serializers.CharField(help_text="`yes`: after the authorization's last day.")
    signed_at = serializers.CharField(help_text="When its notes were signed, facility's clock.")
    signed_by = serializers.CharField(help_text="By whom.")
    sent_on = serializers.DateField(
        allow_null=True, help_text="The day of an earlier summary that said otherwise."
    )
    correction = serializers.CharField(help_text="What that one said and what is right.")
    correction_reason = serializers.CharField(help_text="When and why it was corrected.")


class CodeTotalOutputSerializer(StrictSerializer):
    """The sums of one service code."""

    service_code = serializers.CharField(help_text="E.g. `STR15`.")
    description = serializers.CharField(help_text="The practice's description.")
    minutes = serializers.IntegerField(help_text="Minutes, e.g. 66.")
    units = serializers.IntegerField(help_text="Units used, e.g. 4.")


class SummaryTotalsOutputSerializer(StrictSerializer):
    """The sums of the rows."""

    visits = serializers.IntegerField(help_text="Visits, e.g. 12.")
    visits_counted = serializers.IntegerField(help_text="Visits used of the authorization.")
    minutes = serializers.IntegerField(help_text="Minutes noted.")
    units = serializers.IntegerField(help_text="Units used.")
    units_waiting = serializers.IntegerField(help_text="Units that wait for a person's choice.")
    by_code = CodeTotalOutputSerializer(many=True, help_text="By service code.")
    authorization = serializers.DictField(
        child=serializers.IntegerField(allow_null=True),
        help_text="The authorization on the day it was made: visits, units and minutes authorized, "
        "used, reserved and left; null: not limited.",
    )


class SummaryDocumentOutputSerializer(StrictSerializer):
    """A visit summary as it was sent."""

    heading = SummaryHeadingOutputSerializer(help_text="Whose, of whom, which days.")
    rows = SummaryRowOutputSerializer(many=True, help_text="By day, discipline and code.")
    totals = SummaryTotalsOutputSerializer(help_text="The sums; they are not in the CSV.")
    corrections = VisitCorrectionOutputSerializer(
        many=True, help_text="What an earlier summary of the same days said otherwise."
    )


class SummaryFormInputSerializer(StrictSerializer):
    """Which CSV."""

    dialect = serializers.ChoiceField(
        choices=["plain", "spreadsheet"],
        required=False,
        help_text="Of CSV: `plain` (default; values untouched, for programs) or `spreadsheet` "
        "(UTF-8 mark, formulas disarmed, identifiers kept as text). Not together with JSON.",
    )


class SentSummaryOutputSerializer(StrictSerializer):
    """A visit summary that was sent."""

    id = serializers.UUIDField(help_text="Id of the summary and of its disclosure.")
    disclosed_at = InstantField(help_text="When it was sent.")
    disclosed_by = serializers.UUIDField(help_text="Account that released it.")
    disclosed_by_name = serializers.CharField(help_text="Its name, e.g. `Ana Rivera`.")
    recipient = serializers.CharField(help_text="To whom.")
    purpose = serializers.CharField(help_text="Why.")
    starts_on = serializers.DateField(help_text="First day it speaks of.")
    ends_on = serializers.DateField(help_text="Last day it speaks of.")
    authorization_id = serializers.UUIDField(help_text="The authorization.")
    authorization_number = serializers.CharField(help_text="Its number, e.g. `PA-417`.")
    sha256 = serializers.DictField(child=serializers.CharField(), help_text=DIGESTS)
    corrected_since_sent = serializers.BooleanField(
        allow_null=True,
        help_text="true: visits are not any more as it said; null: the record was erased.",
    )
    corrections = VisitCorrectionOutputSerializer(many=True, help_text="Which, field by field.")


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
    sha256 = serializers.DictField(child=serializers.CharField(), help_text=DIGESTS)

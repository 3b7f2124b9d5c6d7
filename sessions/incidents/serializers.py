"""Safety incidents: reported, told, followed up, closed, put right; read."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from clients.identity.fields import LONGEST_TEXT
from practice.http.examples import example_id
from practice.http.fields import DayField, EnumField, InstantField, NameField, TextField
from practice.http.problems import ReasonSerializer
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.incidents.domain import commands
from sessions.incidents.domain.terms import (
    IncidentKind,
    IncidentStatus,
    IncidentStepKind,
    ToldWhom,
)

CALL_ON = "Day on which the client is called to hear how they are: it stands on the call list."


def _words(help_text: str, **more: Any) -> TextField:
    return TextField(max_length=LONGEST_TEXT, help_text=help_text, **more)


class IncidentToldInputSerializer(StrictSerializer):
    """Who was told."""

    command = commands.TellOfIncident
    example = {"whom": "surgeon", "name": "Amara Whitfield", "words": "by phone"}

    whom = EnumField(ToldWhom, help_text="E.g. `surgeon`, `family`, `owner`.")
    name = NameField(
        required=False, allow_blank=True, max_length=120, help_text="Name, e.g. `Amara Whitfield`."
    )
    words = _words("How, and what they said.", required=False, allow_blank=True)
    at = InstantField(required=False, help_text="When, with offset; now.")


class IncidentInputSerializer(StrictSerializer):
    """A safety incident."""

    command = commands.ReportIncident
    example = {
        "kind": "fall",
        "what_happened": "Slipped beside the table when standing up, onto the left knee.",
        "done_at_once": "Sat down, cold pack, no pain on walking after ten minutes.",
        "session_id": example_id("session"),
        "call_on": "2026-03-11",
        "told": [{"whom": "client"}, {"whom": "owner", "words": "in person"}],
    }

    kind = EnumField(IncidentKind, help_text="E.g. `fall`, `faint`, `skin_torn`, `lasting_pain`.")
    what_happened = _words("What happened; the front desk does not read it.")
    happened_at = InstantField(required=False, help_text="When, with offset; now.")
    done_at_once = _words("What was done there and then.", required=False, allow_blank=True)
    facility_id = serializers.UUIDField(
        required=False, help_text="Where; that of the session, if one is named."
    )
    session_id = serializers.UUIDField(required=False, help_text="In or after which session.")
    practitioner_id = serializers.UUIDField(
        required=False, help_text="Who worked with the client; that of the session."
    )
    call_on = DayField(required=False, help_text=CALL_ON)
    told = IncidentToldInputSerializer(  # type: ignore[call-arg]  # of the list
        many=True, required=False, max_length=20, help_text="Who was told already."
    )


class IncidentCorrectionInputSerializer(StrictSerializer):
    """What should have been reported; what is left out stays."""

    command = commands.CorrectIncident
    example = {"kind": "faint", "reason": "the client fainted before the fall"}

    kind = EnumField(IncidentKind, required=False, help_text="E.g. `faint`.")
    what_happened = _words("What happened, as a whole.", required=False)
    happened_at = InstantField(required=False, help_text="When, with offset.")
    done_at_once = _words("What was done at once.", required=False, allow_blank=True)
    facility_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="Where; null: at none of the facilities."
    )
    session_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="Session; null: in none."
    )
    practitioner_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="Who worked with the client; null: nobody."
    )
    reason = _words("Why, e.g. `wrong session`.")


class IncidentFollowUpInputSerializer(StrictSerializer):
    """How the client is since."""

    command = commands.FollowUpIncident
    example = {"words": "Knee swollen, seen by the physician.", "call_on": "2026-03-16"}

    words = _words("How the client is, or what was done; the front desk does not read it.")
    call_on = DayField(
        required=False, allow_null=True, help_text=f"{CALL_ON} Left out: no further call."
    )
    at = InstantField(required=False, help_text="When, with offset; now.")


class IncidentClosingInputSerializer(StrictSerializer):
    """What came of it."""

    command = commands.CloseIncident
    example = {"words": "Healed; a rail was put up beside the table."}

    words = _words("What came of it, and what changed so that it does not happen again.")


class IncidentReasonInputSerializer(StrictSerializer):
    """Why."""

    command = commands.ReasonOnly
    example = {"reason": "the pain came back"}

    reason = _words("Why.")


class IncidentStepInErrorInputSerializer(StrictSerializer):
    """A step that did not happen so."""

    command = commands.TakeStepBack
    example = {"step_id": example_id("incident step"), "reason": "it was the other surgeon"}

    step_id = serializers.UUIDField(help_text="Id of the step, from `steps`.")
    reason = _words("Why.")


class IncidentStepOutputSerializer(RecordSerializer):
    """Something that happened to an incident."""

    id = serializers.UUIDField(help_text="Id of the step.")
    kind = EnumField(IncidentStepKind, help_text="E.g. `told`.")
    at = InstantField(help_text="When.")
    by_name = serializers.CharField(help_text="Who entered it; empty if nobody on the staff.")
    whom = EnumField(ToldWhom, allow_null=True, help_text="Who was told; null for other steps.")
    name = serializers.CharField(help_text="Name of who was told; may be empty.")
    words = serializers.CharField(required=False, help_text="What to know; not for the front desk.")
    call_on = serializers.DateField(allow_null=True, help_text="When to call the client next.")
    in_error = serializers.CharField(help_text="Why it does not count; empty where it does.")


class IncidentOutputSerializer(RecordSerializer):
    """A safety incident with what was done about it."""

    id = serializers.UUIDField(help_text="Id of the incident.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="Name of the client.")
    kind = EnumField(IncidentKind, required=False, help_text="E.g. `fall`; not for the front desk.")
    status = EnumField(IncidentStatus, help_text="`open`, `closed` or `in_error`.")
    happened_at = InstantField(help_text="When, in the facility's own time.")
    what_happened = serializers.CharField(required=False, help_text="Not for the front desk.")
    done_at_once = serializers.CharField(required=False, help_text="Not for the front desk.")
    facility_id = serializers.UUIDField(allow_null=True, help_text="Where.")
    facility_name = serializers.CharField(help_text="Its name; may be empty.")
    session_id = serializers.UUIDField(allow_null=True, help_text="In or after which session.")
    practitioner_id = serializers.UUIDField(allow_null=True, help_text="Who was there.")
    practitioner_name = serializers.CharField(help_text="Name; may be empty.")
    reported_at = InstantField(help_text="When it was reported.")
    reported_by_name = serializers.CharField(help_text="Who reported it.")
    open_days = serializers.IntegerField(
        allow_null=True, help_text="Whole days since it was reported, while it is open."
    )
    call_on = serializers.DateField(allow_null=True, help_text="When to call the client next.")
    closed_at = InstantField(allow_null=True, help_text="When it was closed, while it is.")
    steps = IncidentStepOutputSerializer(many=True, help_text="What was done, oldest entry first.")
    corrections = serializers.ListField(
        child=serializers.CharField(), help_text="Why the report was put right, each time."
    )
    in_error = serializers.CharField(help_text="Why it was none; empty where it stands.")
    version = serializers.IntegerField(help_text="Version of the record with its last change.")


class ClosedIncidentOutputSerializer(IncidentOutputSerializer):
    """A closed incident, with what its closing ended."""

    warnings = ReasonSerializer(
        many=True, help_text="`call_no_longer_due`: a call that was asked for is not made any more."
    )

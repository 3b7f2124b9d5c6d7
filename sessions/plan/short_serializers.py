"""A session's plan in short: the programme in its order with doses, what asks for what."""

from __future__ import annotations

from rest_framework import serializers

from practice.core.terms import Instrument, MotionType, Movement, SessionPart, Side
from practice.http.answer_forms import AnswerFormField
from practice.http.fields import EnumField, InstantField
from practice.http.reasons import ModeField
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.assessment.short_serializers import (
    NamedStretchesField,
    OutcomeOutputSerializer,
    ReasonNumbersField,
    ReasonTextOutputSerializer,
    ShortSessionOutputSerializer,
    SideModesOutputSerializer,
)
from sessions.calendar.domain.session_state import SessionStatus
from sessions.calendar.domain.terms import SessionPurpose


class PlanQueryInputSerializer(StrictSerializer):
    """In which form the plan is read."""

    form = AnswerFormField()


class PlannedSessionOutputSerializer(RecordSerializer):
    """The session that the plan is of."""

    id = serializers.UUIDField(help_text="Id of the session.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="The client's name.")
    starts_at = InstantField(help_text="Start on the facility's clock with its offset.")
    ends_at = InstantField(help_text="End on the facility's clock with its offset.")
    status = EnumField(SessionStatus, help_text="Where it stands, e.g. `opened`.")
    purpose = EnumField(SessionPurpose, help_text="What it is for, e.g. `treatment`.")
    planned_mode = ModeField(help_text="What it was planned as.")
    flagged = serializers.BooleanField(help_text="It narrowed since it was planned.")
    flag_reasons = ReasonNumbersField("why it narrowed", required=False)
    warnings = ReasonNumbersField("to see to, from its booking", required=False)
    stopped_at_minute = serializers.IntegerField(required=False, help_text="Minute of a stop.")


class ShortPrescriptionOutputSerializer(RecordSerializer):
    """A stretch that is prescribed to the client."""

    prescription_id = serializers.UUIDField(help_text="Id of the prescription.")
    stretch = serializers.CharField(help_text="Code of the catalogue, e.g. `curls`.")
    name = serializers.CharField(help_text="Its name.")
    side = EnumField(Side, help_text="`left`, `right` or `both`.")
    status = serializers.CharField(help_text="`prescribed` or `active`.")
    doses = serializers.ListField(
        child=serializers.DictField(), help_text="How much, by technique; what is open is left out."
    )


class ProgrammeOutputSerializer(RecordSerializer):
    """Prescriptions that follow each other and came out alike."""

    prescriptions = ShortPrescriptionOutputSerializer(many=True, help_text="In their order.")
    outcomes = OutcomeOutputSerializer(many=True, help_text="By technique and side.")
    instead = NamedStretchesField(required=False)


class ShortProposalOutputSerializer(RecordSerializer):
    """Permitted stretches that posture or range ask for, alike; the practitioner picks."""

    stretches = NamedStretchesField()
    by_side = SideModesOutputSerializer(many=True, help_text="How they may be done, by technique.")
    reasons = ReasonNumbersField("what asks for them")


class ModeCountsOutputSerializer(RecordSerializer):
    """How many of the catalogue's other verdicts there are of each mode."""

    hands_on = serializers.IntegerField(help_text="By hand now, e.g. 30.")
    self_directed = serializers.IntegerField(help_text="By the client alone.")
    not_today = serializers.IntegerField(help_text="Not today.")


class ShortReadingOutputSerializer(RecordSerializer):
    """The last reading of a movement."""

    movement = EnumField(Movement, help_text="E.g. `shoulder_flexion`.")
    side = EnumField(Side, help_text="`left`, `right` or `both`.")
    motion = EnumField(MotionType, help_text="`active` or `passive`.")
    degrees = serializers.IntegerField(help_text="Whole degrees, e.g. 150.")
    instrument = EnumField(Instrument, help_text="E.g. `goniometer`.")
    pain = serializers.IntegerField(required=False, help_text="0-10 while measured, if asked.")
    taken_at = InstantField(help_text="When it was taken.")


class ShortLossOutputSerializer(RecordSerializer):
    """Range lost since a discharge, outside a re-check: the practitioner decides."""

    prescription_id = serializers.UUIDField(help_text="The stretch to bring back, or not.")
    reading_id = serializers.UUIDField(help_text="The reading that shows the loss.")
    prompt = serializers.IntegerField(help_text="Number of the text in `reason_texts`.")


class ShortPartOutputSerializer(RecordSerializer):
    """One part of the session."""

    part = EnumField(SessionPart, help_text="E.g. `stretching`.")
    minutes = serializers.IntegerField(help_text="Whole minutes, e.g. 35.")
    payable = serializers.BooleanField(
        required=False, help_text="Whether the payer pays; left out where there is no payer."
    )
    note = serializers.CharField(required=False, help_text="What it is, e.g. `easy walking`.")


class ShortSplitOutputSerializer(RecordSerializer):
    """How the session might be split; the practitioner's own split wins."""

    booked_minutes = serializers.IntegerField(help_text="Length of the session, e.g. 60.")
    suggested = ShortPartOutputSerializer(many=True, help_text="Sums to the length.")
    reasons = ReasonNumbersField("why it is suggested so")
    practitioner_split = serializers.DictField(
        child=serializers.IntegerField(), required=False, help_text="The practitioner's, by part."
    )
    practitioner_reason = serializers.CharField(required=False, help_text="The reason for it.")


class ShortPlanOutputSerializer(ShortSessionOutputSerializer):
    """What a practitioner looks at when the session opens, in short."""

    session = PlannedSessionOutputSerializer(help_text="The session.")
    answers = serializers.JSONField(
        help_text="The arrival answers, without what was not answered; null before."
    )
    programme = ProgrammeOutputSerializer(
        many=True,
        help_text="What is prescribed, in its order: permitted or not, with every reason.",
    )
    proposals = ShortProposalOutputSerializer(
        many=True, help_text="Permitted stretches that posture and range ask for."
    )
    other_stretches = ModeCountsOutputSerializer(
        help_text="The rest of the catalogue, counted by stretch, technique and side; which they "
        "are stands in the client's permissions and in the long form."
    )
    warnings = ReasonNumbersField(
        "on the order of the stretches, and on discharges that rest on something entered in error"
    )
    readings = ShortReadingOutputSerializer(many=True, help_text="The last readings.")
    losses = ShortLossOutputSerializer(
        many=True, help_text="Range lost since a discharge: bring the stretch back?"
    )
    split = ShortSplitOutputSerializer(help_text="How the session might be split.")
    reason_texts = serializers.DictField(
        child=ReasonTextOutputSerializer(), help_text="Each reason once, by its number."
    )


class OpenedSessionOutputSerializer(ShortPlanOutputSerializer):
    """The plan in short as a session is opened."""

    opened_at = InstantField(help_text="When it was opened.")
    opening_warnings = ReasonNumbersField("to heed at the opening: outside its time, shared time")

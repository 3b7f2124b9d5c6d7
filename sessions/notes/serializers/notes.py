"""Serializers of notes: drafts as devices save them, the signed note, addenda."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.core.terms import Credential, MotionType, Movement, Side, Technique
from practice.http.examples import example_id
from practice.http.fields import EnumField, InstantField, TextField, WholeNumberField
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.reasons import ModeField
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.notes.domain.content import LONGEST_TEXT
from sessions.notes.domain.events import TimeSource
from sessions.notes.serializers.addenda import AddendumOutputSerializer
from sessions.notes.serializers.minutes import MINUTES_PER_DAY, MinutesField
from sessions.notes.serializers.work import (
    MAX_LINES,
    CardioWorkInputSerializer,
    PartSpanInputSerializer,
    RemovedLinesField,
    StrengthWorkInputSerializer,
)


class NoteTextField(TextField):
    """A text of the note; empty takes it out."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(required=False, allow_blank=True, max_length=LONGEST_TEXT, **kwargs)


class NoteLineInputSerializer(StrictSerializer):
    """One line of a note: a stretch done, by technique."""

    line_id = serializers.UUIDField(help_text="Id given by the device, a UUID.")
    stretch = TextField(max_length=60, help_text="Code of the catalogue, e.g. `chest_arms_out`.")
    technique = EnumField(Technique, help_text="E.g. `active_isolated`.")
    side = EnumField(Side, help_text="`left`, `right` or `both`.")
    mode = ModeField(help_text="As it was done: `hands_on` or `self_directed`.")
    repetitions = WholeNumberField(
        required=False, allow_null=True, min_value=0, max_value=1000, help_text="E.g. 10."
    )
    hold_seconds = WholeNumberField(
        required=False, allow_null=True, min_value=0, max_value=3600, help_text="Each, e.g. 2."
    )
    minute = WholeNumberField(
        required=False,
        allow_null=True,
        min_value=0,
        max_value=MINUTES_PER_DAY,
        help_text="Minute from the start, e.g. 12.",
    )
    position = WholeNumberField(
        required=False, allow_null=True, min_value=0, max_value=1000, help_text="Order, e.g. 3."
    )
    response = TextField(
        required=False, allow_blank=True, max_length=1000, help_text="What the client said of it."
    )
    pain_before = WholeNumberField(
        required=False, allow_null=True, min_value=0, max_value=10, help_text="0-10, e.g. 2."
    )
    pain_after = WholeNumberField(
        required=False, allow_null=True, min_value=0, max_value=10, help_text="0-10, e.g. 1."
    )

    def validate_mode(self, value: Any) -> Any:
        """What was done was done by hand or by the client alone."""
        if value not in ("hands_on", "self_directed"):
            raise serializers.ValidationError("Give hands_on or self_directed.")
        return value


class DraftSaveInputSerializer(StrictSerializer):
    """One save of a draft. The revision it was written upon comes in If-Match."""

    example = {
        "device": "phone-7f2c",
        "sequence": 1,
        "subjective": "Slept well; the arm is less tight.",
        "objective": "Abduction further than last week.",
        "assessment": "Progress.",
        "plan": "Go on twice a week.",
        "minutes": {"stretching": 40, "cardio": 10},
        "not_counted_minutes": 10,
        "lines": [
            {
                "line_id": example_id("line"),
                "stretch": "abduction_pattern",
                "technique": "active_isolated",
                "side": "left",
                "mode": "hands_on",
                "repetitions": 10,
                "hold_seconds": 2,
                "minute": 12,
                "response": "more",
                "pain_before": 2,
                "pain_after": 1,
            }
        ],
    }

    device = TextField(max_length=64, help_text="The device's own name, e.g. `phone-7f2c`.")
    app_start = TextField(
        required=False,
        max_length=32,
        help_text="A name that the app takes anew each time it starts, e.g. `a41f`: with it the"
        " running number may begin at 1 again and nothing is in doubt.",
    )
    sequence = WholeNumberField(
        min_value=1, max_value=10**9, help_text="The device's running number, rising."
    )
    subjective = NoteTextField(help_text="What the client says.")
    objective = NoteTextField(help_text="What is seen and measured.")
    assessment = NoteTextField(help_text="What it means.")
    plan = NoteTextField(help_text="What comes next.")
    split_reason = NoteTextField(help_text="Why the session was split otherwise than suggested.")
    minutes = MinutesField(required=False, help_text='Whole minutes: `{"stretching": 40}`.')
    not_counted_minutes = WholeNumberField(
        required=False,
        allow_null=True,
        min_value=0,
        max_value=MINUTES_PER_DAY,
        help_text="Rest, dressing, talk, e.g. 5.",
    )
    attended_minutes = WholeNumberField(
        required=False,
        allow_null=True,
        min_value=0,
        max_value=MINUTES_PER_DAY,
        help_text="Parts + not counted; checked when given, e.g. 60.",
    )
    started_at = InstantField(
        required=False,
        allow_null=True,
        help_text="When it began, where opening, arrival and booking do not say it right;"
        " e.g. `2026-03-09T09:35:00-07:00`.",
    )
    ended_at = InstantField(
        required=False,
        allow_null=True,
        help_text="When it ended, where it was not as booked; e.g. `2026-03-09T10:40:00-07:00`.",
    )
    lines = NoteLineInputSerializer(
        many=True, required=False, help_text="What was done, line by line."
    )
    cardio = CardioWorkInputSerializer(many=True, required=False, help_text="Cardio, by mode.")
    strength = StrengthWorkInputSerializer(
        many=True, required=False, help_text="Strength, exercise by exercise."
    )
    spans = PartSpanInputSerializer(
        many=True,
        required=False,
        help_text="From when to when each part lay: its minutes are taken from it where none are"
        " entered; where they differ it is named in `findings`.",
    )
    remove_lines = RemovedLinesField()
    remove_cardio = RemovedLinesField()
    remove_strength = RemovedLinesField()
    remove_spans = RemovedLinesField()
    explanations = serializers.DictField(
        child=TextField(allow_blank=True, max_length=2000),
        required=False,
        help_text="By line id: why a line outside its permission was done.",
    )

    def validate_explanations(self, value: dict[str, str]) -> dict[str, str]:
        """Keys are ids of lines."""
        ids = serializers.UUIDField()
        return {str(ids.run_validation(key)): text for key, text in value.items()}

    def validate_lines(self, value: list[Any]) -> list[Any]:
        """So many lines at most."""
        if len(value) > MAX_LINES:
            raise serializers.ValidationError(f"At most {MAX_LINES} lines.")
        return value

    validate_cardio = validate_strength = validate_spans = validate_lines


class DraftCollisionOutputSerializer(RecordSerializer):
    """A field that two devices wrote without knowing of each other."""

    field = serializers.CharField(help_text="The field, e.g. `plan`.")
    current = serializers.JSONField(help_text="What stands in the draft.")
    yours = serializers.JSONField(help_text="What you sent; it is kept beside it.")


class DraftFindingOutputSerializer(RecordSerializer):
    """Something in a draft that a signature refuses, asks about or marks."""

    field = serializers.CharField(help_text="What it is about: `lines.<id>`, `minutes`, …")
    code = serializers.CharField(
        help_text="`stretch_unknown`, `outside_permission`, `impossible_number`,"
        " `untouched_line`, `response_missing`,"
        " `impossible_minutes`, `impossible_times`, `more_than_booked`, `more_than_passed`,"
        " `overlaps_practitioner`, `overlaps_client`."
    )
    text = serializers.CharField(help_text="What it is and what to do.")
    allowed = ModeField(allow_null=True, help_text="The most that the line was permitted to be.")
    reasons = ReasonForm(many=True, help_text="Why no more.")


class DraftOutputSerializer(RecordSerializer):
    """A draft, and what came of a save."""

    state = serializers.CharField(
        help_text="`draft`, `unsent_addendum` after the signature, `left_with_author` where the"
        " session is another practitioner's now."
    )
    revision = serializers.IntegerField(help_text="The draft's revision; its ETag.")
    note = serializers.JSONField(help_text="The note as it reads now.")
    collisions = serializers.JSONField(help_text="Fields with several values, by field.")
    written = serializers.ListField(child=serializers.CharField(), help_text="Fields you changed.")
    merged = serializers.ListField(
        child=serializers.CharField(), help_text="Fields that other devices changed meanwhile."
    )
    repeated = serializers.ListField(
        child=serializers.CharField(),
        help_text="Fields of yours that were not written: the same words were sent before.",
    )
    overtaken = serializers.ListField(
        child=serializers.CharField(),
        help_text="Fields of yours that were not written: a newer save of this device stands (a"
        " later base revision, or a higher sequence upon the same). `note` shows it.",
    )
    findings = DraftFindingOutputSerializer(
        many=True, help_text="What a signature would refuse, ask about or mark, line by line."
    )


class LineOutsidePermissionOutputSerializer(RecordSerializer):
    """A line outside its permission."""

    line_id = serializers.UUIDField(help_text="The line.")
    allowed = ModeField(help_text="The most it was permitted to be.")
    reasons = ReasonForm(many=True, help_text="Why no more.")
    explanation = serializers.CharField(help_text="Why it was done all the same.")
    known_later = serializers.BooleanField(help_text="By a fact recorded after the signature.")
    cause = serializers.CharField(help_text="The event that brought the fact.")


class SignedNoteOutputSerializer(RecordSerializer):
    """A note as it was signed, with its addenda."""

    id = serializers.UUIDField(help_text="Id of the note.")
    version = serializers.IntegerField(help_text="Version of the note.")
    session_id = serializers.UUIDField(help_text="The session.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="Their name; empty after an erasure.")
    practitioner_id = serializers.UUIDField(help_text="Who signed.")
    practitioner_name = serializers.CharField(help_text="Their name.")
    supervisor_id = serializers.UUIDField(
        allow_null=True, help_text="Who supervised the practitioner there that day, if anyone."
    )
    supervisor_name = serializers.CharField(help_text="Their name; empty without one.")
    credential = EnumField(Credential, help_text="Under which credential.")
    facility_id = serializers.UUIDField(help_text="Where.")
    started_at = InstantField(help_text="When the session started, as signed.")
    started_from = EnumField(
        TimeSource, help_text="Where the start is known from, e.g. `opening` or `booking`."
    )
    ended_at = InstantField(help_text="When the session ended, as signed.")
    ended_from = EnumField(TimeSource, help_text="Where the end is known from.")
    booked_minutes = serializers.IntegerField(help_text="How long it was booked for.")
    signed_at = InstantField(help_text="When it was signed.")
    local_date = serializers.DateField(help_text="The local day it started on.")
    subjective = serializers.CharField(help_text="What the client says.")
    objective = serializers.CharField(help_text="What is seen and measured.")
    assessment = serializers.CharField(help_text="What it means.")
    plan = serializers.CharField(help_text="What comes next.")
    split_reason = serializers.CharField(help_text="Why the session was split otherwise.")
    minutes = serializers.JSONField(help_text="Whole minutes by part, as signed.")
    not_counted_minutes = serializers.IntegerField(help_text="Rest, dressing, talk.")
    attended_minutes = serializers.IntegerField(help_text="Parts + not counted.")
    current_minutes = serializers.JSONField(
        help_text="Whole minutes by part as they stand with all addenda."
    )
    current_not_counted_minutes = serializers.IntegerField(help_text="Not counted, as it stands.")
    current_attended_minutes = serializers.IntegerField(help_text="Attended, as it stands.")
    current_started_at = InstantField(help_text="The start as it stands.")
    current_ended_at = InstantField(help_text="The end as it stands.")
    lines = serializers.JSONField(help_text="What was done, line by line.")
    cardio = serializers.JSONField(help_text="Cardio, by mode.")
    strength = serializers.JSONField(help_text="Strength, exercise by exercise.")
    spans = serializers.JSONField(help_text="From when to when each part lay.")
    re_enters = serializers.UUIDField(
        allow_null=True, help_text="The note entered in error whose place it takes."
    )
    re_entered_as = serializers.UUIDField(
        allow_null=True, help_text="The note that took its place, where it was entered in error."
    )
    outside = LineOutsidePermissionOutputSerializer(
        many=True, help_text="Lines outside their permission."
    )
    addenda = AddendumOutputSerializer(many=True, help_text="Later words, oldest first.")
    evaluated_with = serializers.JSONField(help_text="Versions that decided.")
    entered_in_error = serializers.CharField(
        help_text="Why its session was entered in error; empty where the note stands."
    )
    warnings = ReasonForm(
        many=True,
        help_text="What was warned of at the signature (before its end, shared time, unknown"
        " stretches, more than booked), and the order, at risk of arm swelling.",
    )


class OtherDraftOutputSerializer(RecordSerializer):
    """What another practitioner wrote of a session that was moved: theirs, and unsigned."""

    practitioner_id = serializers.UUIDField(help_text="Who wrote it.")
    practitioner_name = serializers.CharField(help_text="Their name.")
    revision = serializers.IntegerField(help_text="The revision of their draft.")
    updated_at = InstantField(help_text="When they last saved.")
    note = serializers.JSONField(help_text="What they wrote.")
    collisions = serializers.JSONField(help_text="Fields with several values, by field.")


class NoteReadingOutputSerializer(RecordSerializer):
    """A reading of a range that was taken in the session."""

    id = serializers.UUIDField(help_text="Its id.")
    movement = EnumField(Movement, help_text="E.g. `shoulder_flexion`.")
    side = EnumField(Side, help_text="`left`, `right` or `both`.")
    motion = EnumField(MotionType, help_text="`active` or `passive`.")
    degrees = serializers.IntegerField(help_text="Whole degrees, e.g. 150.")
    pain = serializers.IntegerField(allow_null=True, help_text="0-10 while measured.")
    taken_at = InstantField(help_text="When.")


class NoteCircumferencesOutputSerializer(RecordSerializer):
    """A set of circumferences that was measured in the session."""

    id = serializers.UUIDField(help_text="Its id.")
    interval_cm = serializers.FloatField(help_text="Centimetres between two of them, e.g. 4.")
    left = serializers.ListField(child=serializers.FloatField(), help_text="Left arm, in cm.")
    right = serializers.ListField(child=serializers.FloatField(), help_text="Right arm, in cm.")
    taken_at = InstantField(help_text="When.")


class MeasuredOutputSerializer(RecordSerializer):
    """What was measured in a session."""

    readings = NoteReadingOutputSerializer(many=True, help_text="Ranges, in their order.")
    circumferences = NoteCircumferencesOutputSerializer(many=True, help_text="Of both arms.")


class NoteOutputSerializer(RecordSerializer):
    """The note of a session: a draft, a signed note, or both (an unsent addendum)."""

    state = serializers.CharField(help_text="`none`, `draft` or `signed`.")
    draft = DraftOutputSerializer(
        allow_null=True, help_text="The draft, or what came after the signature."
    )
    others = OtherDraftOutputSerializer(
        many=True,
        help_text="Drafts of others, before or after the session was moved: to be read, no part of"
        " a signature that is not theirs.",
    )
    measured = MeasuredOutputSerializer(
        help_text="What was measured in the session: recorded with its `session_id`."
    )
    signed = SignedNoteOutputSerializer(allow_null=True, help_text="The signed note.")

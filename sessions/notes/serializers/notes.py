"""Serializers of notes as they are read: drafts, the signed note, addenda."""

from __future__ import annotations

from rest_framework import serializers

from practice.core.terms import Credential, MotionType, Movement, Side
from practice.http.fields import EnumField, InstantField
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.reasons import ModeField
from practice.http.serializers import RecordSerializer
from sessions.notes.domain.events import TimeSource
from sessions.notes.serializers.addenda import AddendumOutputSerializer
from sessions.notes.serializers.co_signature import CoSignatureOutputSerializer
from sessions.notes.serializers.measured import MeasuredLineOutputSerializer


class DraftCollisionOutputSerializer(RecordSerializer):
    """A field that two devices wrote without knowing of each other."""

    field = serializers.CharField(help_text="The field, e.g. `plan`.")
    current = serializers.JSONField(help_text="What stands in the draft.")
    yours = serializers.JSONField(
        help_text="What you sent; it is kept beside it. null: not of this save, and open still."
    )
    values = serializers.ListField(
        child=serializers.JSONField(), help_text="All that stands there, oldest first."
    )


class DraftFindingOutputSerializer(RecordSerializer):
    """Something in a draft that a signature refuses, asks about or marks."""

    field = serializers.CharField(help_text="What it is about: `lines.<id>`, `minutes`, …")
    code = serializers.CharField(
        help_text="`stretch_unknown`, `outside_permission`, `impossible_number`,"
        " `untouched_line`, `carried_untouched`, `response_missing`,"
        " `incomplete_line` (not signed before it is whole),"
        " `impossible_minutes`, `impossible_times`, `more_than_booked`, `more_than_passed`,"
        " `not_taken` of something measured,"
        " `overlaps_practitioner`, `overlaps_client`, `signed_before_end` once"
        " minutes are entered; `awaits_co_signature` (nothing to put right:"
        " who co-signs it once it is signed)."
    )
    text = serializers.CharField(help_text="What it is and what to do.")
    allowed = ModeField(allow_null=True, help_text="The most that the line was permitted to be.")
    reasons = ReasonForm(many=True, help_text="Why no more.")


class DraftOutputSerializer(RecordSerializer):
    """A draft, and what came of a save."""

    state = serializers.CharField(
        help_text="`draft`; after the signature `unsent_addendum` for words that wait for their"
        " author, `signed` where a save said nothing else; `left_with_author` where the session is"
        " another practitioner's now."
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
    measured_lines = MeasuredLineOutputSerializer(
        many=True, help_text="What was measured while it was written, and what came of each."
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
        help_text="Why it, or its session, was entered in error; empty where the note stands."
    )
    co_signature = CoSignatureOutputSerializer(
        help_text="Whether the supervisor's co-signature is required, and where it stands."
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


class NoteGoneOutputSerializer(RecordSerializer):
    """A note of the session that was entered in error while the session stands."""

    note_id = serializers.UUIDField(source="id", help_text="Its id: `re_enters` at the signature.")
    practitioner_id = serializers.UUIDField(help_text="Who had signed it.")
    signed_at = InstantField(help_text="When.")
    at = InstantField(source="entered_in_error_at", help_text="When it was entered in error.")
    by = serializers.UUIDField(source="entered_in_error_by", help_text="By which staff member.")
    reason = serializers.CharField(source="entered_in_error", help_text="Why.")
    re_entered_as = serializers.UUIDField(
        allow_null=True, help_text="The note that took its place."
    )


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
    in_error = NoteGoneOutputSerializer(
        many=True,
        help_text="Notes of the session that were entered in error while it stands, oldest first;"
        " their words: GET …/note/entered-in-error.",
    )

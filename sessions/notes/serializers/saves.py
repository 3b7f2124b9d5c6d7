"""Serializers of drafts as devices save them."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.core.terms import Side, Technique
from practice.http.examples import example_id
from practice.http.fields import EnumField, InstantField, TextField, WholeNumberField
from practice.http.reasons import ModeField
from practice.http.serializers import StrictSerializer
from sessions.notes.domain.content import LONGEST_TEXT
from sessions.notes.domain.terms import BroughtFrom
from sessions.notes.serializers.measured import (
    NoteCircumferencesInputSerializer,
    NoteReadingInputSerializer,
)
from sessions.notes.serializers.minutes import MINUTES_PER_DAY, MinutesField
from sessions.notes.serializers.work import (
    MAX_LINES,
    CardioChangeInputSerializer,
    CardioWorkInputSerializer,
    ChangedLine,
    PartSpanInputSerializer,
    RemovedLinesField,
    ResponseField,
    SpanChangeInputSerializer,
    StrengthChangeInputSerializer,
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
    response = ResponseField()
    pain_before = WholeNumberField(
        required=False, allow_null=True, min_value=0, max_value=10, help_text="0-10, e.g. 2."
    )
    pain_after = WholeNumberField(
        required=False, allow_null=True, min_value=0, max_value=10, help_text="0-10, e.g. 1."
    )

    brought_from = EnumField(
        BroughtFrom,
        required=False,
        allow_null=True,
        help_text="As it was read, so that a draft can be sent back; no save sets it.",
    )

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Without the mark: whether a line is touched is judged by what is said of it."""
        attrs.pop("brought_from", None)
        return attrs

    def validate_mode(self, value: Any) -> Any:
        """What was done was done by hand or by the client alone."""
        if value not in ("hands_on", "self_directed"):
            raise serializers.ValidationError("Give hands_on or self_directed.")
        return value


class NoteLineChangeInputSerializer(ChangedLine, NoteLineInputSerializer):
    """What changes of a line; a new one says all that it needs."""


class WholeDraftInputSerializer(StrictSerializer):
    """A save of the whole note. The revision it was written upon comes in If-Match."""

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
        many=True,
        required=False,
        help_text="What was done, line by line: what is left out of one is empty. A line that was"
        " brought in and stands as it was read stays marked.",
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
    readings = NoteReadingInputSerializer(
        many=True,
        required=False,
        help_text="Readings taken in the session, each with an id by the device: recorded once"
        " however often it is sent, as by their own request. Give `occurred_at`, as a save may"
        " come late. One that is refused stays in the draft (`measured_lines`) and the rest of the"
        " save is taken.",
    )
    circumferences = NoteCircumferencesInputSerializer(
        many=True, required=False, help_text="Circumferences taken in the session, likewise."
    )
    remove_readings = RemovedLinesField()
    remove_circumferences = RemovedLinesField()
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
    validate_readings = validate_circumferences = validate_lines


class DraftSaveInputSerializer(WholeDraftInputSerializer):
    """One save of a draft: what changed. The revision it was written upon comes in If-Match."""

    lines = NoteLineChangeInputSerializer(
        many=True,
        required=False,
        help_text="What was done, line by line. What is left out of a line stays as it was said;"
        " null empties it. A line that was brought in is touched by any save that names it.",
    )
    cardio = CardioChangeInputSerializer(
        many=True, required=False, help_text="Cardio, by mode; what is left out stays."
    )
    strength = StrengthChangeInputSerializer(
        many=True, required=False, help_text="Strength, by exercise; what is left out stays."
    )
    spans = SpanChangeInputSerializer(
        many=True,
        required=False,
        help_text="From when to when each part lay: its minutes are taken from it where none are"
        " entered; where they differ it is named in `findings`. What is left out stays.",
    )


class WordsCarryInputSerializer(StrictSerializer):
    """From which note entered in error the words are taken over."""

    example = {"device": "phone-7f2c", "sequence": 1, "carry_from": example_id("note_in_error")}

    device = TextField(max_length=64, help_text="The device's own name, e.g. `phone-7f2c`.")
    app_start = TextField(
        required=False, max_length=32, help_text="The app's name of its start, as in a save."
    )
    sequence = WholeNumberField(
        min_value=1, max_value=10**9, help_text="The device's running number, rising."
    )
    carry_from = serializers.UUIDField(
        help_text="Your own note that was entered in error: its id, as `re_enters` takes it."
    )

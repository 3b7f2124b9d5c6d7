"""Treatment goals and reports of home exercise: set, reviewed, put right; read."""

from __future__ import annotations

from typing import Any, ClassVar

from rest_framework import serializers

from clients.identity.fields import LONGEST_TEXT
from practice.http.examples import example_id
from practice.http.fields import DayField, EnumField, InstantField, TextField, WholeNumberField
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.goals.domain import commands
from sessions.goals.domain.events import GoalContent
from sessions.goals.domain.terms import Followed, GoalStatus, ReviewOutcome


def _text(help_text: str, **more: Any) -> TextField:
    return TextField(max_length=LONGEST_TEXT, help_text=help_text, **more)


class GoalContentSerializer(StrictSerializer):
    """What a goal is."""

    command: ClassVar[type[Any] | None] = GoalContent

    text = _text("As it can be judged, e.g. `lifts a plate of 1 kg to shoulder height`.")
    words = _text("In the client's own words.", required=False, allow_blank=True)
    target_on = DayField(required=False, allow_null=True, help_text="By when, `2026-06-01`.")
    measured_by = serializers.ListField(
        child=serializers.UUIDField(),
        required=False,
        max_length=20,
        help_text="Ids of the client's goals in degrees, posture or pain that measure it.",
    )


class TreatmentGoalInputSerializer(GoalContentSerializer):
    """A goal that is agreed on."""

    command = commands.SetGoal
    example = {
        "text": "Lifts a plate of 1 kg from the upper shelf with the left arm.",
        "words": "I want to reach my own dishes again.",
        "target_on": "2026-06-01",
    }

    set_on = DayField(required=False, help_text="When it was agreed on; today.")


class GoalReviewInputSerializer(StrictSerializer):
    """What a review found."""

    command = commands.ReviewGoal
    example = {
        "outcome": "changed",
        "reason": "the upper shelf is out of reach for longer than was thought",
        "changed_to": {
            "text": "Lifts a plate of 1 kg to shoulder height with the left arm.",
            "words": "The middle shelf would do for now.",
            "target_on": "2026-05-01",
        },
    }

    outcome = EnumField(ReviewOutcome, help_text="`met`, `not_met`, `changed` or `given_up`.")
    reason = _text("Why; needed unless it is met.", required=False, allow_blank=True)
    words = _text("What the client said of it.", required=False, allow_blank=True)
    changed_to = GoalContentSerializer(
        required=False, allow_null=True, help_text="The goal as it is from now on, as a whole."
    )
    reviewed_on = DayField(required=False, help_text="When; today.")
    session_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="In which session."
    )


class GoalReviewInErrorInputSerializer(StrictSerializer):
    """A review that does not count."""

    command = commands.TakeReviewBack
    example = {"review_id": example_id("goal review"), "reason": "it was the other goal"}

    review_id = serializers.UUIDField(help_text="Id of the last review, from `reviews`.")
    reason = _text("Why.")


class GoalInErrorInputSerializer(StrictSerializer):
    """Why something was none."""

    command = commands.InError
    example = {"reason": "entered twice"}

    reason = _text("Why.")


class HomeReportInputSerializer(StrictSerializer):
    """What the client says of a home exercise."""

    command = commands.ReportHomeExercise
    example = {"followed": "partly", "times": 4, "words": "not on the days of treatment"}

    followed = EnumField(Followed, help_text="`as_assigned`, `partly` or `not_done`.")
    times = WholeNumberField(
        required=False,
        allow_null=True,
        min_value=0,
        max_value=1000,
        help_text="How often in these days, if the client knows.",
    )
    words = _text("In the client's own words.", required=False, allow_blank=True)
    from_day = DayField(
        required=False,
        help_text="First day; the one after the last report, or that of its assignment.",
    )
    to_day = DayField(required=False, help_text="Last day; today.")
    session_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="In which session it was said."
    )


class GoalReviewOutputSerializer(RecordSerializer):
    """A review."""

    id = serializers.UUIDField(help_text="Id of the review.")
    outcome = EnumField(ReviewOutcome, help_text="E.g. `not_met`.")
    on = serializers.DateField(help_text="When.")
    by_name = serializers.CharField(help_text="Who entered it.")
    reason = serializers.CharField(help_text="Why; may be empty.")
    words = serializers.CharField(help_text="What the client said; may be empty.")
    changed_to = GoalContentSerializer(
        allow_null=True, help_text="What the goal was from then on; null: the same."
    )
    session_id = serializers.UUIDField(allow_null=True, help_text="In which session.")
    in_error = serializers.CharField(help_text="Why it does not count; empty where it does.")


class TreatmentGoalOutputSerializer(RecordSerializer):
    """A treatment goal as it stands, with its reviews."""

    id = serializers.UUIDField(help_text="Its id: the same for ever, whatever it becomes.")
    number = serializers.IntegerField(help_text="Its number among the client's goals, e.g. 2.")
    status = EnumField(GoalStatus, help_text="`open`, `met`, `given_up` or `in_error`.")
    text = serializers.CharField(help_text="What is to be reached.")
    words = serializers.CharField(help_text="In the client's own words; may be empty.")
    target_on = serializers.DateField(allow_null=True, help_text="By when.")
    measured_by = serializers.ListField(
        child=serializers.UUIDField(), help_text="Ids of the goals that measure it."
    )
    set_on = serializers.DateField(help_text="When it was agreed on.")
    set_by_name = serializers.CharField(help_text="Who entered it.")
    agreed_on = GoalContentSerializer(help_text="What was agreed on at first.")
    reviews = GoalReviewOutputSerializer(many=True, help_text="In order of entry.")
    in_error = serializers.CharField(help_text="Why it was none; empty where it stands.")
    version = serializers.IntegerField(help_text="Version of the record with its last change.")


class HomeReportOutputSerializer(RecordSerializer):
    """What the client said of a home exercise."""

    id = serializers.UUIDField(help_text="Id of the report.")
    home_exercise_id = serializers.UUIDField(help_text="Of which exercise.")
    name = serializers.CharField(help_text="Its name.")
    from_day = serializers.DateField(help_text="First day.")
    to_day = serializers.DateField(help_text="Last day.")
    followed = EnumField(Followed, help_text="E.g. `partly`.")
    times = serializers.IntegerField(allow_null=True, help_text="How often; null: not said.")
    words = serializers.CharField(help_text="In the client's own words; may be empty.")
    session_id = serializers.UUIDField(allow_null=True, help_text="In which session it was said.")
    reported_by_name = serializers.CharField(help_text="Who entered it.")
    recorded_at = InstantField(help_text="When it was entered.")
    in_error = serializers.CharField(help_text="Why it does not count; empty where it does.")

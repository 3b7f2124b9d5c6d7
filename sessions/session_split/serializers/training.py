"""Hours planned and done, cardio zones, a suggested load."""

from __future__ import annotations

from rest_framework import serializers

from clients.clinical.domain.limbs import LoadedLimb
from practice.http.fields import EnumField, FlagField, WholeNumberField
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.measurements.serializers.fields import NumberField
from sessions.session_split.domain.cardio import Intensity
from sessions.session_split.domain.strength import StrengthSet


class MinutesByPartField(serializers.DictField):
    """Whole minutes by part."""

    child = serializers.IntegerField()


class SessionMinutesOutputSerializer(RecordSerializer):
    """One session's minutes by part."""

    session_id = serializers.UUIDField(help_text="The session.")
    day = serializers.DateField(help_text="Its local day.")
    planned = MinutesByPartField(
        allow_null=True, help_text="As the practitioner planned; null: nobody did."
    )
    done = MinutesByPartField(help_text="As signed, corrections taken in.")


class TrainingWeekOutputSerializer(RecordSerializer):
    """One week against the guidelines."""

    begins = serializers.DateField(help_text="Its Monday.")
    cardio_minutes = serializers.IntegerField(source="cardio.minutes", help_text="Minutes done.")
    cardio_wanted = serializers.IntegerField(source="cardio.wanted", help_text="The guideline.")
    cardio_reached = serializers.BooleanField(source="cardio.reached", help_text="It was reached.")
    strength_sessions = serializers.IntegerField(help_text="Sessions with strength work.")
    strength_wanted = serializers.IntegerField(help_text="The guideline.")


class TrainingHistoryOutputSerializer(RecordSerializer):
    """Planned against done, over time."""

    sessions = SessionMinutesOutputSerializer(many=True, help_text="Newest first.")
    weeks = TrainingWeekOutputSerializer(
        many=True, help_text="Newest first; only what was done here."
    )


class CardioZonesQueryInputSerializer(StrictSerializer):
    """What zones are calculated from."""

    resting_heart_rate = WholeNumberField(
        required=False, min_value=25, max_value=130, help_text="Beats a minute at rest, e.g. 64."
    )
    beta_blocker = FlagField(
        required=False, help_text="true: heart rate misleads, exertion is used."
    )


class BandField(serializers.ListField):
    """Lowest and highest."""

    child = serializers.IntegerField()


class CardioZoneOutputSerializer(RecordSerializer):
    """One zone of cardio intensity."""

    intensity = EnumField(Intensity, help_text="light, moderate or vigorous.")
    beats = BandField(allow_null=True, help_text="Beats a minute, lowest and highest.")
    exertion = BandField(help_text="Perceived exertion 6-20, lowest and highest.")


class CardioZonesOutputSerializer(RecordSerializer):
    """Cardio zones: a help, no order."""

    zones = CardioZoneOutputSerializer(many=True, help_text="From light to vigorous.")
    maximum_bpm = serializers.FloatField(allow_null=True, help_text="Calculated greatest rate.")
    formula = serializers.CharField(help_text="The formulas by name.")
    reasons = ReasonForm(many=True, help_text="Why exertion is used instead.")


class StrengthSetInputSerializer(StrictSerializer):
    """One recent set: load and repetitions."""

    command = StrengthSet

    load = NumberField(min_value=0.1, max_value=500, help_text="Kilograms, e.g. 7.5.")
    repetitions = WholeNumberField(
        min_value=1, max_value=100, help_text="Repetitions done, e.g. 8."
    )


class LoadSuggestionInputSerializer(StrictSerializer):
    """A limb and its recent sets."""

    example = {"limb": "right_arm", "sets": [{"load": 7.5, "repetitions": 8}], "sedentary": False}

    limb = EnumField(LoadedLimb, help_text="E.g. `right_arm`.")
    sets = StrengthSetInputSerializer(
        many=True, help_text="Recent sets; above 10 they do not count."
    )
    sedentary = FlagField(
        required=False, help_text="Not used to exercise; counts as true where not said."
    )


class LoadSuggestionOutputSerializer(RecordSerializer):
    """A suggested load: a help, no order."""

    load = serializers.FloatField(help_text="Kilograms.")
    epley = serializers.FloatField(help_text="Estimated maximum, w·(1 + r/30).")
    brzycki = serializers.FloatField(help_text="Estimated maximum, 36·w/(37 − r).")
    why = serializers.CharField(help_text="What it rests on.")


class LoadSuggestionResultOutputSerializer(RecordSerializer):
    """The suggestion; null where the limb may carry no load today, or where no set of at most
    10 repetitions is given."""

    suggestion = LoadSuggestionOutputSerializer(allow_null=True, help_text="The suggestion.")
    open = serializers.BooleanField(help_text="The limb may carry load today.")
    reasons = ReasonForm(many=True, help_text="Why not.")
    cautions = ReasonForm(many=True, help_text="What to heed while it is loaded.")

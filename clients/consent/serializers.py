"""Touch consent as the desk and practitioners fill it in and read it."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from clients.consent.domain.commands import ConfirmConsent, EndConsent, RecordConsent
from clients.consent.domain.terms import (
    ConsentMethod,
    ConsentSigner,
    ConsentStatus,
    GrantStatus,
)
from clients.health.fields import BodySiteSerializer
from clients.identity.fields import LONGEST_TEXT, language_field, occurred_at_field
from practice.core.terms import Gender, Technique
from practice.http.examples import example_id
from practice.http.fields import DayField, EnumField, FlagField, NameField, TextField
from practice.http.problems import ReasonSerializer
from practice.http.serializers import RecordSerializer, StrictSerializer, build_command

SCOPE_FIELDS = (
    "regions",
    "techniques",
    "practitioner_ids",
    "gender",
    "support_person",
    "interpreter",
)
DOCUMENTATION_FIELDS = (
    "form",
    "language",
    "witness",
    "typed_name",
    "signer",
    "guardian_name",
    "guardian_relation",
    "adult_proof",
    "interpreter_name",
)
OTHER_FIELDS = ("until", "signed_on", "occurred_at", "confirmed_typed_name")
NARROWED_FIELDS = ("regions", "techniques", "practitioner_ids")


CHILD = "Ask whether they are of age: a child never interprets."


def _text(help_text: str) -> TextField:
    return TextField(required=False, allow_blank=True, max_length=120, help_text=help_text)


def _name(help_text: str) -> NameField:
    return NameField(required=False, allow_blank=True, max_length=120, help_text=help_text)


class ConsentInputSerializer(StrictSerializer):
    """A touch consent as it was given."""

    example = {
        "regions": [{"region": "shoulder", "side": "left"}, {"region": "arm", "side": "left"}],
        "techniques": ["active_isolated", "contract_relax"],
        "until": "2027-03-05",
        "form": "paper",
        "signed_on": "2026-03-06",
        "language": "en",
    }

    regions = BodySiteSerializer(
        many=True, allow_empty=False, help_text="Every region that may be touched, with its side."
    )
    techniques = serializers.ListField(
        child=EnumField(Technique),
        allow_empty=False,
        max_length=len(Technique),
        help_text="Techniques that may be used, e.g. `active_isolated`.",
    )
    practitioner_ids = serializers.ListField(
        child=serializers.UUIDField(),
        required=False,
        max_length=100,
        help_text="Only these practitioners, if the client wants it so.",
    )
    gender = EnumField(
        Gender, required=False, allow_null=True, help_text="Only practitioners of this gender."
    )
    support_person = FlagField(
        required=False, help_text="The client's support person must be there, e.g. true."
    )
    interpreter = FlagField(required=False, help_text="An interpreter must be there, e.g. false.")
    until = DayField(
        required=False,
        allow_null=True,
        help_text="Last day that it counts; default as the practice's setting says.",
    )
    form = EnumField(ConsentMethod, help_text="How it was obtained, e.g. `paper`.")
    language = language_field("Language it was explained in, BCP 47, e.g. `es`.")
    obtained_by = _name("Who got it; the caller.")
    witness = _name("Witness of a spoken consent.")
    typed_name = _name("The name as it was typed, e.g. `Iris Lindqvist`.")
    confirmed_typed_name = FlagField(
        required=False, help_text="true keeps a typed name that is not the signer's."
    )
    signer = EnumField(
        ConsentSigner,
        required=False,
        help_text="`client` by default; `guardian` for a client below the age of consent.",
    )
    guardian_name = _name("The guardian; default the one on record, e.g. `Mina Okafor`.")
    guardian_relation = _text("What makes them the guardian, e.g. `mother`.")
    adult_proof = _text(
        "The paper seen that shows a client below the age of consent to be emancipated or"
        " married, e.g. `marriage certificate, seen 2 March 2026`."
    )
    interpreter_name = _name("Who interpreted while it was explained, e.g. `Luz Ferrer`.")
    interpreter_of_age = FlagField(
        required=False, help_text="They were asked and are of age; a child never interprets."
    )
    signed_on = DayField(
        required=False,
        allow_null=True,
        help_text="The date that a paper bears, e.g. `2026-03-01`. A paper of an earlier day"
        " counts from the start of that day, unless `occurred_at` says more.",
    )
    occurred_at = occurred_at_field()

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """400 for an interpreter who is not known to be of age."""
        of_age = attrs.get("interpreter_of_age")
        if attrs.get("interpreter_name") and of_age is not True:
            raise serializers.ValidationError({"interpreter_of_age": CHILD})
        if of_age is not None and not attrs.get("interpreter_name"):
            raise serializers.ValidationError({"interpreter_name": "Name the interpreter."})
        return attrs

    def to_command(self, **more: Any) -> RecordConsent:
        """The consent as a command."""
        given = {key: value for key, value in self.validated_data.items() if value is not None}
        scope = {key: given[key] for key in SCOPE_FIELDS if key in given}
        scope["sites"] = scope.pop("regions")
        obtained = {key: given[key] for key in DOCUMENTATION_FIELDS if key in given}
        obtained["by"] = given.get("obtained_by", "")
        rest = {key: given[key] for key in OTHER_FIELDS if key in given}
        made: RecordConsent = build_command(
            RecordConsent, {"scope": scope, "obtained": obtained, **rest}
        )
        return made


class NarrowedScopeSerializer(StrictSerializer):
    """What a withdrawal or refusal is about; limits narrow together."""

    regions = BodySiteSerializer(
        many=True, required=False, help_text="Only these regions and sides; else all."
    )
    techniques = serializers.ListField(
        child=EnumField(Technique),
        required=False,
        max_length=len(Technique),
        help_text="Only these techniques; else all.",
    )
    practitioner_ids = serializers.ListField(
        child=serializers.UUIDField(),
        required=False,
        max_length=100,
        help_text="Only these practitioners; else all.",
    )


class ConsentEndInputSerializer(NarrowedScopeSerializer):
    """A consent declined or withdrawn: all of it, or a part."""

    example = {
        "regions": [{"region": "chest", "side": "both"}],
        "reason": "Not on the chest any more.",
    }

    reason = TextField(
        required=False,
        allow_blank=True,
        max_length=LONGEST_TEXT,
        help_text="The client's reason, if one was given.",
    )
    occurred_at = occurred_at_field()

    def to_command(self, **more: Any) -> EndConsent:
        """The withdrawal or refusal as a command."""
        given = {key: value for key, value in self.validated_data.items() if value is not None}
        scope = {key: given.pop(key) for key in NARROWED_FIELDS if key in given}
        if "regions" in scope:
            scope["sites"] = scope.pop("regions")
        made: EndConsent = build_command(EndConsent, {"scope": scope, **given})
        return made


class ConsentConfirmationInputSerializer(StrictSerializer):
    """A suspended consent that the client, when asked, says stands."""

    command = ConfirmConsent
    example = {"consent_id": example_id("consent"), "reason": "asked by phone on 9 March"}

    consent_id = serializers.UUIDField(help_text="Id of the consent, from `grants`.")
    reason = TextField(
        required=False,
        allow_blank=True,
        max_length=LONGEST_TEXT,
        help_text="How the client was asked, e.g. `by phone on 2 March`.",
    )


class GrantOutputSerializer(RecordSerializer):
    """One consent on record and what became of it."""

    consent_id = serializers.UUIDField(help_text="Id of the consent.")
    status = EnumField(GrantStatus, help_text="`stands`, `replaced`, `suspended` or `ended`.")
    why = serializers.CharField(help_text="Why, in one sentence.")
    can_be_confirmed = serializers.BooleanField(
        help_text="Ask the client; POST .../touch-consent/confirmation if it stands."
    )
    given_on = serializers.DateField(help_text="First day that it counts.")
    until = serializers.DateField(help_text="Last day that it counts.")
    given_at = serializers.DateTimeField(help_text="When it was given.")
    recorded_at = serializers.DateTimeField(help_text="When it was recorded.")
    regions = BodySiteSerializer(many=True, help_text="What may be touched.")
    techniques = serializers.ListField(
        child=EnumField(Technique), help_text="Techniques that may be used."
    )
    confirmed = serializers.ListField(
        child=serializers.CharField(),
        help_text="What looked like a slip and was confirmed, e.g. a typed name of another person.",
    )


class NarrowingOutputSerializer(NarrowedScopeSerializer):
    """One withdrawal or refusal on record."""

    status = EnumField(ConsentStatus, help_text="`withdrawn` or `declined`.")
    everything = serializers.BooleanField(help_text="Of all touch, not of a part.")
    reason = serializers.CharField(help_text="The client's reason; may be empty.")
    said_at = serializers.DateTimeField(help_text="When it was said.")
    recorded_at = serializers.DateTimeField(help_text="When it was entered.")


class ConsentOutputSerializer(RecordSerializer):
    """Touch consent as it stands."""

    status = EnumField(
        ConsentStatus, help_text="`granted`, `suspended`, `declined`, `withdrawn` or `none`."
    )
    in_force = serializers.BooleanField(
        help_text="It stands today: it is granted, counts, and who signed could."
    )
    warnings = ReasonSerializer(many=True, help_text="What to see to, e.g. a consent suspended.")
    consent_id = serializers.UUIDField(allow_null=True, help_text="Id of the consent.")
    regions = BodySiteSerializer(many=True, help_text="What may be touched.")
    techniques = serializers.ListField(
        child=EnumField(Technique), help_text="Techniques that may be used."
    )
    practitioner_ids = serializers.ListField(
        child=serializers.UUIDField(), help_text="Only these, if any are named."
    )
    gender = serializers.CharField(help_text="Only practitioners of this gender; may be empty.")
    support_person = serializers.BooleanField(help_text="The support person must be there.")
    interpreter = serializers.BooleanField(help_text="An interpreter must be there.")
    given_on = serializers.DateField(allow_null=True, help_text="First day that it counts.")
    until = serializers.DateField(allow_null=True, help_text="Last day that it counts.")
    form = serializers.CharField(help_text="How it was obtained; may be empty.")
    language = serializers.CharField(help_text="Language it was explained in.")
    obtained_by = serializers.CharField(help_text="Who explained it.")
    witness = serializers.CharField(help_text="Witness of a spoken consent.")
    typed_name = serializers.CharField(help_text="The name as it was typed.")
    reason = serializers.CharField(help_text="The client's reason for a refusal or withdrawal.")
    signer = serializers.CharField(help_text="`client` or `guardian`; may be empty.")
    guardian_name = serializers.CharField(help_text="The guardian who consented; may be empty.")
    guardian_relation = serializers.CharField(help_text="What makes them the guardian.")
    adult_proof = serializers.CharField(help_text="Proof of emancipation or marriage, if any.")
    interpreter_name = serializers.CharField(help_text="Who interpreted; may be empty.")
    narrowed = NarrowedScopeSerializer(
        many=True, help_text="Parts withdrawn or refused of the consent that stands."
    )
    grants = GrantOutputSerializer(many=True, help_text="Every consent on record, newest first.")
    narrowings = NarrowingOutputSerializer(
        many=True, help_text="Every withdrawal and refusal on record, newest first."
    )
    occurred_at = serializers.DateTimeField(allow_null=True, help_text="When it happened.")
    recorded_at = serializers.DateTimeField(allow_null=True, help_text="When it was recorded.")
    version = serializers.IntegerField(help_text="Version of the whole record; the ETag.")

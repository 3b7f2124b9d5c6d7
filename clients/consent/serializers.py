"""Touch consent as the desk and practitioners fill it in and read it."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from clients.consent.domain.commands import EndConsent, RecordConsent
from clients.consent.domain.terms import ConsentMethod, ConsentStatus
from clients.health.fields import BodySiteSerializer
from clients.identity.fields import LONGEST_TEXT, occurred_at_field
from practice.core.terms import Gender, Technique
from practice.http.fields import DayField, EnumField, FlagField, NameField, TextField
from practice.http.serializers import StrictSerializer, build_command

SCOPE_FIELDS = (
    "regions",
    "techniques",
    "practitioner_ids",
    "gender",
    "support_person",
    "interpreter",
)
DOCUMENTATION_FIELDS = ("form", "language", "witness", "typed_name")


class ConsentInputSerializer(StrictSerializer):
    """A touch consent as the client gave it."""

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
        required=False, help_text="A support person must be there, e.g. true."
    )
    interpreter = FlagField(required=False, help_text="An interpreter must be there, e.g. false.")
    until = DayField(
        required=False,
        allow_null=True,
        help_text="Last day that it counts; default as the practice's setting says.",
    )
    form = EnumField(ConsentMethod, help_text="How it was obtained, e.g. `paper`.")
    language = serializers.RegexField(
        r"\A[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*\Z",
        max_length=20,
        help_text="Language it was explained in, BCP 47, e.g. `es`.",
        error_messages={"invalid": "Give a BCP 47 tag, e.g. `en` or `es-MX`."},
    )
    obtained_by = TextField(
        required=False,
        allow_blank=True,
        max_length=120,
        help_text="Who got it; the caller.",
    )
    witness = TextField(
        required=False, allow_blank=True, max_length=120, help_text="Witness of a spoken consent."
    )
    typed_name = NameField(
        required=False, allow_blank=True, max_length=120, help_text="The client's name as typed."
    )
    occurred_at = occurred_at_field()

    def to_command(self, **more: Any) -> RecordConsent:
        """The consent as a command."""
        given = {key: value for key, value in self.validated_data.items() if value is not None}
        scope = {key: given[key] for key in SCOPE_FIELDS if key in given}
        scope["sites"] = scope.pop("regions")
        obtained = {
            key: given[key] for key in ("form", "language", "witness", "typed_name") if key in given
        }
        obtained["by"] = given.get("obtained_by", "")
        rest = {key: given[key] for key in ("until", "occurred_at") if key in given}
        made: RecordConsent = build_command(
            RecordConsent, {"scope": scope, "obtained": obtained, **rest}
        )
        return made


class ConsentEndInputSerializer(StrictSerializer):
    """A consent declined or withdrawn."""

    command = EndConsent

    reason = TextField(
        required=False,
        allow_blank=True,
        max_length=LONGEST_TEXT,
        help_text="The client's reason, if given.",
    )
    occurred_at = occurred_at_field()


class ConsentOutputSerializer(serializers.Serializer[Any]):
    """Touch consent as it stands."""

    status = EnumField(ConsentStatus, help_text="`granted`, `declined`, `withdrawn` or `none`.")
    in_force = serializers.BooleanField(help_text="It is granted and counts today.")
    consent_id = serializers.UUIDField(allow_null=True, help_text="Id of the consent.")
    regions = BodySiteSerializer(many=True, help_text="What may be touched.")
    techniques = serializers.ListField(
        child=EnumField(Technique), help_text="Techniques that may be used."
    )
    practitioner_ids = serializers.ListField(
        child=serializers.UUIDField(), help_text="Only these, if any are named."
    )
    gender = serializers.CharField(help_text="Only practitioners of this gender; may be empty.")
    support_person = serializers.BooleanField(help_text="A support person must be there.")
    interpreter = serializers.BooleanField(help_text="An interpreter must be there.")
    given_on = serializers.DateField(allow_null=True, help_text="First day that it counts.")
    until = serializers.DateField(allow_null=True, help_text="Last day that it counts.")
    form = serializers.CharField(help_text="How it was obtained; may be empty.")
    language = serializers.CharField(help_text="Language it was explained in.")
    obtained_by = serializers.CharField(help_text="Who explained it.")
    witness = serializers.CharField(help_text="Witness of a spoken consent.")
    typed_name = serializers.CharField(help_text="The client's name as typed.")
    reason = serializers.CharField(help_text="The client's reason for a refusal or withdrawal.")
    occurred_at = serializers.DateTimeField(allow_null=True, help_text="When it happened.")
    recorded_at = serializers.DateTimeField(allow_null=True, help_text="When it was recorded.")
    version = serializers.IntegerField(help_text="Version of the client's whole record; the ETag.")

"""Who the client is: what the desk fills in and what lists show."""

from __future__ import annotations

from rest_framework import serializers

from clients.identity.domain.events import ContactBy
from clients.identity.fields import language_field
from practice.http.examples import example_id
from practice.http.fields import DayField, EnumField, NameField, PhoneField, TextField, ZoneField
from practice.http.problems import ReasonSerializer
from practice.http.serializers import RecordSerializer, StrictSerializer


class ClientInputSerializer(StrictSerializer):
    """The details by which a client is registered or changed."""

    example = {
        "given_name": "Mara",
        "family_name": "Lindqvist",
        "birth_date": "1971-04-23",
        "phone": "+1 415 555 0123",
        "email": "mara@example.org",
        "contact_by": "mail",
        "language": "es",
        "facility_ids": [example_id("facility")],
    }

    given_name = NameField(max_length=120, help_text="Given name, e.g. `Mara`.")
    family_name = NameField(max_length=120, help_text="Family name, e.g. `Lindqvist`.")
    birth_date = DayField(
        required=False, allow_null=True, help_text="Date of birth, e.g. `1971-04-23`."
    )
    phone = PhoneField(
        required=False, allow_blank=True, help_text="Phone; without country code US."
    )
    email = serializers.EmailField(
        required=False, allow_blank=True, max_length=254, help_text="Mail address."
    )
    zone = ZoneField(required=False, help_text="Time zone; default that of the first facility.")
    language = language_field("Language the client speaks best, BCP 47, e.g. `es`.", required=False)
    contact_by = EnumField(
        ContactBy, required=False, help_text="How to contact the client: `mail`; default `none`."
    )
    facility_ids = serializers.ListField(
        child=serializers.UUIDField(),
        required=False,
        min_length=1,
        max_length=100,
        help_text="Facilities where the client comes; default those of whoever registers.",
    )


class ClientOutputSerializer(RecordSerializer):
    """A client as shown to all staff."""

    id = serializers.UUIDField(help_text="Id of the client.")
    name = serializers.CharField(help_text="Whole name, e.g. `Mara Lindqvist`.")
    given_name = serializers.CharField(help_text="Given name.")
    family_name = serializers.CharField(help_text="Family name.")
    birth_date = serializers.DateField(allow_null=True, help_text="Date of birth.")
    phone = serializers.CharField(help_text="Phone in E.164, e.g. `+14155550123`; may be empty.")
    email = serializers.CharField(help_text="Mail address; may be empty.")
    zone = serializers.CharField(help_text="IANA time zone, e.g. `America/New_York`.")
    language = serializers.CharField(help_text="BCP 47, e.g. `en`.")
    contact_by = EnumField(ContactBy, help_text="How the client may be contacted.")
    facility_ids = serializers.ListField(
        child=serializers.UUIDField(), help_text="Facilities where the client comes."
    )
    registered_at = serializers.DateTimeField(help_text="When the client was registered.")


class ClientDetailOutputSerializer(ClientOutputSerializer):
    """One client with the version of the record."""

    version = serializers.IntegerField(help_text="Version of the client's whole record; the ETag.")


class RegisteredClientOutputSerializer(ClientDetailOutputSerializer):
    """A client who was registered now."""

    warnings = ReasonSerializer(
        many=True,
        help_text="`registered_twice`: another client of that name and birth date is on record.",
    )


class ClientSearchInputSerializer(StrictSerializer):
    """What is known of the client who is looked for; everything given must fit."""

    example = {"name": "lindq", "birth_date": "1971-04-23"}

    name = TextField(
        required=False,
        allow_blank=True,
        max_length=250,
        help_text="Beginning of the name, given or family name first, e.g. `lindq`.",
    )
    birth_date = DayField(required=False, help_text="Date of birth.")
    phone = PhoneField(required=False, help_text="Phone; without country code US.")

"""Who the client is: what the desk fills in and what lists show."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from clients.identity.booked_sessions import BookedSessionOutputSerializer
from clients.identity.contact_serializers import (
    ContactHoursSerializer,
    DoubleWarningSerializer,
    EmergencyContactSerializer,
    GuardianSerializer,
    PhoneSerializer,
    ReferrerSerializer,
    ShownDoubleOutputSerializer,
    UnsuitableTimeSerializer,
)
from clients.identity.domain.contact import ContactBy
from clients.identity.domain.matches import RANKED, NameMatch
from clients.identity.fields import PartialDateField, PhoneEndField, language_field
from practice.http.examples import example_id
from practice.http.fields import (
    DayField,
    EnumField,
    FlagField,
    NameField,
    PhoneField,
    TextField,
    WholeNumberField,
    ZoneField,
)
from practice.http.serializers import RecordSerializer, StrictSerializer


def _some(kind: type[StrictSerializer], most: int, help_text: str) -> Any:
    """A list of entries, at most so many, that may be left out."""
    about: dict[str, Any] = {"many": True, "required": False, "max_length": most}
    return kind(help_text=help_text, **about)


AS_A_WHOLE = " Changed as a whole: to leave out what stands needs `If-Match` (428)."
"""Of each list of values in a client's details."""
OF_THE_SAME_PERSON = (
    " Of the same name, what is left out stays; of another, to lose what stands needs `If-Match`"
    " (428)."
)
"""Of each single person beside the client."""


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

    given_name = NameField(
        required=False,
        allow_blank=True,
        max_length=120,
        help_text="Given name, e.g. `Mara`; empty for a person with one name.",
    )
    family_name = NameField(
        required=False,
        allow_blank=True,
        max_length=120,
        help_text="Family name, e.g. `Lindqvist`; given or family name must be there.",
    )
    birth_date = DayField(
        required=False, allow_null=True, help_text="Date of birth, e.g. `1971-04-23`."
    )
    phone = PhoneField(
        required=False,
        allow_blank=True,
        help_text="Main phone; without country code US. Changed, it replaces the first of"
        " `phones`.",
    )
    phones = _some(
        PhoneSerializer,
        10,
        "All numbers, replaced as a whole; the first is `phone`. To leave out one that stands"
        " needs `If-Match` (428); what is left out of one that stands stays.",
    )
    email = serializers.EmailField(
        required=False, allow_blank=True, max_length=254, help_text="Mail address."
    )
    zone = ZoneField(required=False, help_text="Time zone; default that of the first facility.")
    language = language_field("Language the client speaks best, BCP 47, e.g. `es`.", required=False)
    contact_by = EnumField(
        ContactBy,
        required=False,
        help_text="How to contact the client: `mail`; default `none`, which ends `contact_also_by`"
        " too.",
    )
    contact_also_by = serializers.ListField(
        child=EnumField(ContactBy),
        required=False,
        max_length=3,
        help_text="What the client allows beside `contact_by`, e.g. `phone`." + AS_A_WHOLE,
    )
    contact_hours = ContactHoursSerializer(
        required=False, allow_null=True, help_text="When they may be contacted; null: any time."
    )
    interpreter_needed = FlagField(
        required=False, help_text="Whether an interpreter for `language` is needed."
    )
    emergency_contacts = _some(
        EmergencyContactSerializer,
        5,
        "Whom to call in an emergency, in this order. One by one:"
        " `…/emergency-contacts`. Sent as a whole, what is left out is taken away, which needs"
        " `If-Match` (428).",
    )
    referrer = ReferrerSerializer(
        required=False, allow_null=True, help_text="Who sent the client here."
    )
    guardian = GuardianSerializer(
        required=False,
        allow_null=True,
        help_text="Who decides for the client; a consent that a guardian signs takes them from"
        " here." + OF_THE_SAME_PERSON,
    )
    unsuitable_times = _some(
        UnsuitableTimeSerializer,
        30,
        "Times that do not suit the client. One by one: `…/unsuitable-times`. Sent as a whole,"
        " what is left out is taken away, which needs `If-Match` (428).",
    )
    planned_sessions_per_week = WholeNumberField(
        required=False,
        allow_null=True,
        min_value=1,
        max_value=14,
        help_text="Sessions a week that are planned, e.g. 2.",
    )
    told_apart_from = serializers.ListField(
        child=serializers.UUIDField(),
        required=False,
        max_length=100,
        help_text="Clients who were shown as possible doubles and are other people." + AS_A_WHOLE,
    )
    facility_ids = serializers.ListField(
        child=serializers.UUIDField(),
        required=False,
        min_length=1,
        max_length=100,
        help_text="Facilities where the client comes, the one registered at first; default those"
        " of whoever registers." + AS_A_WHOLE,
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
    """One client: how they are reached, who stands beside them, what times suit."""

    phones = PhoneSerializer(many=True, help_text="All numbers, the main one first.")
    contact_also_by = serializers.ListField(
        child=EnumField(ContactBy), help_text="What the client allows beside `contact_by`."
    )
    contact_hours = ContactHoursSerializer(
        allow_null=True, help_text="When they may be contacted; null: any time."
    )
    interpreter_needed = serializers.BooleanField(help_text="Whether an interpreter is needed.")
    emergency_contacts = EmergencyContactSerializer(
        many=True, help_text="Whom to call in an emergency."
    )
    referrer = ReferrerSerializer(allow_null=True, help_text="Who sent the client here.")
    guardian = GuardianSerializer(allow_null=True, help_text="Who decides for the client.")
    unsuitable_times = UnsuitableTimeSerializer(
        many=True, help_text="Times that do not suit; billing sees no reason."
    )
    planned_sessions_per_week = serializers.IntegerField(
        allow_null=True, help_text="Sessions a week that are planned."
    )
    told_apart_from = serializers.ListField(
        child=serializers.UUIDField(), help_text="Clients who were found to be other people."
    )
    doubles_shown = ShownDoubleOutputSerializer(
        many=True, help_text="Who was shown as a possible double at registration."
    )

    version = serializers.IntegerField(help_text="Version of the client's whole record; the ETag.")


class ChangedClientOutputSerializer(ClientDetailOutputSerializer):
    """A client after a change of their details, and what it did to the sessions to come."""

    sessions = BookedSessionOutputSerializer(
        many=True,
        help_text="Sessions that have not ended, by start: what each was and is now. A birth date"
        " or a guardian decides whose consent counts, and until when.",
    )


class RegisteredClientOutputSerializer(ClientDetailOutputSerializer):
    """A client who was registered now."""

    warnings = DoubleWarningSerializer(
        many=True,
        help_text="`registered_twice`: a client of that name is on record, and no birth date tells"
        " them apart; `possible_double`: one who may be the same person, with the signs.",
    )


class ClientSearchInputSerializer(StrictSerializer):
    """What is known of the client who is looked for; everything given must fit."""

    example = {"name": "lindq", "birth_date": "1971-04"}

    name = TextField(
        required=False,
        allow_blank=True,
        max_length=250,
        help_text="Any parts of the name in any order, each from its beginning, e.g. `van der`;"
        " what sounds alike or has a typing slip is found too.",
    )
    birth_date = PartialDateField(
        required=False, help_text="Date of birth, or its month or year: `1971-04`."
    )
    phone = PhoneEndField(
        required=False, max_length=40, help_text="A phone or its last digits, at least four."
    )


class ClientFoundOutputSerializer(ClientOutputSerializer):
    """A client who was found, and how well the name fits."""

    phones = PhoneSerializer(many=True, help_text="All numbers, the main one first.")
    match = EnumField(NameMatch, source="rank", help_text="How the name fits, e.g. `begins`.")

    def to_representation(self, row: Any) -> Any:
        """The client, with the word for the rank."""
        return {**super().to_representation(row), "match": RANKED[row.rank].value}


class PossibleDoublesInputSerializer(StrictSerializer):
    """What is known of someone who is about to be registered."""

    example = {"given_name": "Mara", "family_name": "Lindqvist", "birth_date": "1971-04-23"}

    given_name = NameField(
        required=False, allow_blank=True, max_length=120, help_text="Given name, e.g. `Mara`."
    )
    family_name = NameField(
        required=False, allow_blank=True, max_length=120, help_text="Family name."
    )
    birth_date = DayField(required=False, allow_null=True, help_text="Date of birth.")
    phone = PhoneField(
        required=False, allow_blank=True, help_text="Phone; without country code US."
    )

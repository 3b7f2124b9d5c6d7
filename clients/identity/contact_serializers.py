"""How a client is reached, who stands beside them, and what times suit: as entered and shown."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from clients.identity.domain.contact import DoubleSign, ReferrerKind
from practice.http.fields import (
    DayField,
    EnumField,
    FlagField,
    NameField,
    PhoneField,
    TextField,
    WholeNumberField,
)
from practice.http.problems import ReasonSerializer
from practice.http.serializers import RecordSerializer, StrictSerializer

LONGEST_WORDS = 200


def _words(help_text: str) -> TextField:
    return TextField(
        required=False, allow_blank=True, max_length=LONGEST_WORDS, help_text=help_text
    )


def _phone(help_text: str, **more: Any) -> PhoneField:
    return PhoneField(help_text=f"{help_text} Without country code US.", **more)


def _entry_id() -> serializers.UUIDField:
    return serializers.UUIDField(
        required=False, help_text="Its id; sent, it names the one that is changed."
    )


class PhoneSerializer(StrictSerializer):
    """One number of the client."""

    number = _phone("The number, kept in E.164, e.g. `+14155550123`.")
    label: Any = _words("Whose or what it is, e.g. `work`.")
    texts = FlagField(required=False, help_text="Whether texts may go there; default false.")
    best_time = _words("When to call, e.g. `after 16:00`.")


class EmergencyContactInputSerializer(StrictSerializer):
    """Whom to call in an emergency."""

    example = {"name": "Jon Lindqvist", "relation": "brother", "phone": "+1 415 555 0188"}

    name = NameField(max_length=120, help_text="Name, e.g. `Jon Lindqvist`.")
    relation = _words("What they are to the client, e.g. `brother`.")
    phone = _phone("Their phone.")


class EmergencyContactSerializer(EmergencyContactInputSerializer):
    """One of those whom to call in an emergency."""

    id = _entry_id()


class ReferrerSerializer(StrictSerializer):
    """Who sent the client here."""

    name = NameField(max_length=120, help_text="Name, e.g. `Dr. Amal Haddad`.")
    kind = EnumField(ReferrerKind, help_text="What they are, e.g. `surgeon`.")
    phone = _phone("Their phone.", required=False, allow_blank=True)


class GuardianSerializer(StrictSerializer):
    """Who decides for the client, e.g. for a minor."""

    name = NameField(max_length=120, help_text="Name, e.g. `Mina Okafor`.")
    relation = NameField(max_length=120, help_text="What makes them it, e.g. `mother`.")
    phone = _phone("Their phone.", required=False, allow_blank=True)
    proof = _words("The proof that was seen, e.g. `birth certificate`.")
    proof_seen_on = DayField(
        required=False, allow_null=True, help_text="When it was seen, e.g. `2026-03-02`."
    )
    until = DayField(
        required=False, allow_null=True, help_text="The last day of it, e.g. `2028-05-31`."
    )


class ContactHoursSerializer(StrictSerializer):
    """Between which times of day, on the client's clock, the practice may get in touch."""

    starts = serializers.TimeField(help_text="From, e.g. `09:00`.")
    ends = serializers.TimeField(help_text="To, after `starts`, e.g. `17:30`.")


class UnsuitableTimeInputSerializer(StrictSerializer):
    """A time that does not suit, on the client's clock."""

    example = {"weekday": 2, "starts": "08:00", "ends": "13:00", "reason": "chemotherapy"}

    weekday = WholeNumberField(
        required=False,
        allow_null=True,
        min_value=1,
        max_value=7,
        help_text="ISO weekday, 1 Monday to 7 Sunday; left out: every day.",
    )
    starts = serializers.TimeField(
        required=False, allow_null=True, help_text="From, e.g. `08:00`; left out: the whole day."
    )
    ends = serializers.TimeField(
        required=False, allow_null=True, help_text="To, after `starts`, e.g. `13:00`."
    )
    reason = _words("Why, e.g. `chemotherapy`. Billing does not see it.")
    from_date = DayField(required=False, allow_null=True, help_text="First day of it.")
    until = DayField(required=False, allow_null=True, help_text="Last day of it.")


class UnsuitableTimeSerializer(UnsuitableTimeInputSerializer):
    """One of the times that do not suit."""

    id = _entry_id()


class ShownDoubleOutputSerializer(RecordSerializer):
    """A client who was shown as perhaps the same person when this one was registered."""

    client_id = serializers.UUIDField(help_text="Id of that client.")
    signs = serializers.ListField(child=EnumField(DoubleSign), help_text="Why, e.g. `same_phone`.")


class PossibleDoubleOutputSerializer(ShownDoubleOutputSerializer):
    """A client on record who may be the same person."""

    name = serializers.CharField(help_text="Whole name, e.g. `Mara Lindqvist`.")
    birth_date = serializers.DateField(allow_null=True, help_text="Date of birth.")


class DoubleWarningSerializer(PossibleDoubleOutputSerializer, ReasonSerializer):
    """A warning that names the client who may be the same person."""

"""Provider preference, and exceptions from it."""

from __future__ import annotations

from rest_framework import serializers

from clients.identity.booked_sessions import BookedSessionOutputSerializer
from clients.identity.fields import LONGEST_TEXT, occurred_at_field
from clients.preference.domain.commands import AgreeException, StatePreference
from clients.preference.domain.terms import PreferenceScope
from practice.core.terms import Gender
from practice.http.examples import example_id
from practice.http.fields import DayField, EnumField, TextField
from practice.http.serializers import RecordSerializer, StrictSerializer
from practice.people_and_places.name_fields import NameBesideId


class ProviderPreferenceInputSerializer(StrictSerializer):
    """Whom the client prefers: a gender or named people; neither means anyone."""

    command = StatePreference
    example = {"scope": "hands_on_only", "gender": "woman"}

    scope = EnumField(
        PreferenceScope, required=False, help_text="`all_work` (default) or `hands_on_only`."
    )
    gender = EnumField(Gender, required=False, allow_null=True, help_text="E.g. `woman`.")
    practitioner_ids = serializers.ListField(
        child=serializers.UUIDField(),
        required=False,
        max_length=100,
        help_text="Named practitioners; not together with a gender.",
    )
    occurred_at = occurred_at_field()


class PreferenceExceptionInputSerializer(StrictSerializer):
    """An exception that the client agreed to in person."""

    command = AgreeException
    example = {
        "practitioner_id": example_id("practitioner"),
        "agreed_how": "said so on the phone",
        "until": "2026-03-31",
    }

    practitioner_id = serializers.UUIDField(help_text="The practitioner whom the client accepts.")
    agreed_how = TextField(
        max_length=LONGEST_TEXT, help_text="How the client agreed, e.g. `said so on the phone`."
    )
    session_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="For one session that is booked."
    )
    on = DayField(required=False, allow_null=True, help_text="For one session, by its local day.")
    until = DayField(required=False, allow_null=True, help_text="For every session until this day.")
    occurred_at = occurred_at_field()


class PreferenceExceptionOutputSerializer(RecordSerializer):
    """An exception as it stands."""

    exception_id = serializers.UUIDField(help_text="Id of the exception.")
    practitioner_id = serializers.UUIDField(help_text="Whom the client accepts.")
    practitioner_name = NameBesideId("practitioner")
    session_id = serializers.UUIDField(allow_null=True, help_text="For this session.")
    on = serializers.DateField(allow_null=True, help_text="For the session on this day.")
    until = serializers.DateField(allow_null=True, help_text="Until this day.")
    agreed_how = serializers.CharField(help_text="How the client agreed.")
    agreed_at = serializers.DateTimeField(help_text="When the client agreed.")


class ProviderPreferenceOutputSerializer(RecordSerializer):
    """Whom the client prefers, and the exceptions agreed to since they said so."""

    scope = serializers.CharField(help_text="`all_work`, `hands_on_only`, or empty for anyone.")
    gender = serializers.CharField(help_text="E.g. `woman`; may be empty.")
    practitioner_ids = serializers.ListField(
        child=serializers.UUIDField(), help_text="Named practitioners."
    )
    stated_at = serializers.DateTimeField(allow_null=True, help_text="When the client said so.")
    exceptions = PreferenceExceptionOutputSerializer(
        many=True, help_text="Exceptions that the client agreed to."
    )
    version = serializers.IntegerField(help_text="Version of the client's whole record; the ETag.")


class PreferenceChangeOutputSerializer(ProviderPreferenceOutputSerializer):
    """Provider preference after a change, and what the change did to the sessions to come."""

    sessions = BookedSessionOutputSerializer(
        many=True, help_text="Sessions that have not ended, by start: what each was and is now."
    )

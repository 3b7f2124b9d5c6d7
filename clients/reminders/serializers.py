"""Serializers of reminders."""

from __future__ import annotations

from rest_framework import serializers

from clients.identity.fields import language_field
from clients.reminders.domain.rules import Addressee, Channel
from clients.reminders.models import Reminder
from practice.http.fields import EnumField, InstantField
from practice.http.serializers import RecordSerializer, StrictSerializer


class ReminderOutputSerializer(RecordSerializer):
    """A reminder and where it stands."""

    id = serializers.UUIDField(help_text="Id of the reminder.")
    kind = serializers.CharField(help_text="What of, e.g. `session_tomorrow`.")
    about = serializers.UUIDField(help_text="Id of the thing, e.g. of the session.")
    client_id = serializers.UUIDField(
        allow_null=True, help_text="Of which client; null for what is of none, e.g. a licence."
    )
    client_name = serializers.CharField(help_text="The client's name; empty where it is of none.")
    addressee = EnumField(Addressee, help_text="For whom, e.g. `client`.")
    practitioner_id = serializers.UUIDField(
        allow_null=True, help_text="For which practitioner, where it is for one."
    )
    practitioner_name = serializers.CharField(help_text="Their name, e.g. `Ana Rivera`; or empty.")
    channel = EnumField(Channel, help_text="How it goes; `list`: a person tells it.")
    status = serializers.ChoiceField(
        choices=Reminder.Status.choices,
        help_text="`waiting`: for its hour or the server; `sent`; `listed`: to be told by a person;"
        " `done`: told; `not_wanted`: it was of no use any more before it was told, such as of a"
        " paper that was answered; `refused`: the address takes none.",
    )
    told = serializers.CharField(help_text="What it says, for the staff.")
    day = serializers.DateField(help_text="The day that it is about, e.g. `2026-05-04`.")
    made_at = InstantField(help_text="When its time had come.")
    sent_at = InstantField(allow_null=True, help_text="When a server took it; null: none has.")
    tries = serializers.IntegerField(
        help_text="How often it was handed to a server: more than 1, and it may have come twice,"
        " with the same id."
    )
    done_at = InstantField(allow_null=True, help_text="When a person had told it.")
    why_not = serializers.CharField(
        help_text="Why it was not sent again when its address worked again; else empty."
    )


class WordingOutputSerializer(RecordSerializer):
    """One template as this client would read it."""

    template = serializers.CharField(help_text="Its name, as the settings name it.")
    subject = serializers.CharField(help_text="Subject of the mail.")
    mail = serializers.CharField(help_text="The mail; its link to end mails is shown as `…`.")
    text = serializers.CharField(help_text="The text message, at most 160 characters.")
    text_places = serializers.IntegerField(help_text="How many of the 160 it takes, e.g. 121.")


class WordingsOutputSerializer(RecordSerializer):
    """What a client may be written and told, in their language."""

    language = serializers.CharField(help_text="In which language, e.g. `es`.")
    voice = serializers.CharField(help_text="What is said to a machine, and nothing else.")
    templates = WordingOutputSerializer(many=True, help_text="Each template.")
    passed_over = serializers.ListField(
        child=serializers.CharField(),
        help_text="Translations of this language that are not used, with the reason: they say"
        " something clinical, or have other places to fill than the English; English stands in"
        " their place.",
    )


class WordingsQuerySerializer(StrictSerializer):
    """In which language."""

    language = language_field(
        "Another language than the client's, e.g. one that the practice is adding: `fr`.",
        required=False,
    )

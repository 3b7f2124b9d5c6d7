"""Serializers of what came back from clients."""

from __future__ import annotations

from rest_framework import serializers

from clients.reminders.domain.rules import Channel
from clients.reminders.models import ContactNotice, UnknownReply
from clients.reminders.services.stops import LiftNotice, SaidBy, StopMessages
from clients.reminders.services.unknown_replies import SettleReply
from practice.http.fields import EnumField, InstantField, TextField
from practice.http.serializers import RecordSerializer, StrictSerializer


class MessageStopInputSerializer(StrictSerializer):
    """The client asks a member of staff for no more messages."""

    command = StopMessages
    example = {"said_by": "phone", "channels": ["mail"], "words": "Please no more mails."}

    said_by = EnumField(SaidBy, help_text="How the client said it, e.g. `phone`.")
    channels = serializers.ListField(
        child=EnumField(Channel),
        required=False,
        min_length=1,
        max_length=2,
        help_text="Which messages end; default all: `mail` and `text`.",
    )
    words = TextField(
        required=False, allow_blank=True, max_length=300, help_text="In the client's words."
    )

    def validate_channels(self, given: list[Channel]) -> tuple[Channel, ...]:
        """Each once, and messages alone."""
        if Channel.LIST in given:
            raise serializers.ValidationError("Give mail, text or both: a list is no message.")
        return tuple(dict.fromkeys(given))


class ContactNoticeLiftInputSerializer(StrictSerializer):
    """Why a notice holds no more."""

    command = LiftNotice
    example = {"reason": "The client called: the mailbox was full and takes mail again."}

    reason = TextField(
        max_length=300,
        help_text="Why: what makes sure that the address works again; for a wish to stop, the"
        " client's own word and how it came.",
    )


class ContactNoticeOutputSerializer(RecordSerializer):
    """What came back from a client, or what they said of messages."""

    id = serializers.UUIDField(help_text="Id of the notice; `about_id` of the call list.")
    client_id = serializers.UUIDField(help_text="Of which client.")
    kind = EnumField(
        ContactNotice.Kind,
        help_text="`refused`, `bounced`, `wrong_number`: the address takes no messages;"
        " `stopped`: the client wants no more of the channel; `replied`: an answer to a text.",
    )
    channel = EnumField(Channel, help_text="Of which messages: `mail` or `text`.")
    address = serializers.CharField(help_text="Where the message went; empty for what was said.")
    words = serializers.CharField(help_text="The reply, the server's answer, or how it was said.")
    replaced = serializers.BooleanField(
        help_text="true: the address failed, and the client has another by now; it needs no call."
    )
    at = InstantField(help_text="When it came.")
    noted_by = serializers.UUIDField(
        allow_null=True, help_text="Who of the staff was told it; null: it came by itself."
    )
    lifted_at = InstantField(allow_null=True, help_text="Since when it holds no more.")
    lifted_by = serializers.UUIDField(allow_null=True, help_text="Who lifted it.")
    lifted_because = serializers.CharField(help_text="Why it was lifted; empty before.")


class SentAgainOutputSerializer(RecordSerializer):
    """A reminder that the address had refused."""

    reminder_id = serializers.UUIDField(help_text="The reminder.")
    kind = serializers.CharField(help_text="What of, e.g. `session_tomorrow`.")
    why_not = serializers.CharField(
        help_text="Why it is not sent again; empty: it goes out now, in the client's hours."
    )


class ContactNoticeLiftedOutputSerializer(ContactNoticeOutputSerializer):
    """The notice, and what becomes of the reminders that the address had refused."""

    sent_again = SentAgainOutputSerializer(
        many=True, help_text="Reminders that were refused there, the first made first."
    )


class ReplySettlementInputSerializer(StrictSerializer):
    """Whose reply it is, or why it is nobody's."""

    command = SettleReply
    example = {"reason": "A wrong number: somebody asks for a taxi."}

    client_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="The client whose reply it is."
    )
    reason = TextField(
        required=False,
        allow_blank=True,
        max_length=300,
        help_text="Or why it is discarded. Beside a client: why one that was discarded is theirs.",
    )


class UnknownReplyOutputSerializer(RecordSerializer):
    """A text from a number that fits no client."""

    id = serializers.UUIDField(help_text="Id of the reply.")
    number = serializers.CharField(help_text="From where; empty once it is assigned to a client.")
    words = serializers.CharField(help_text="What it says; empty once it is assigned.")
    stops = serializers.BooleanField(
        help_text="It says that texts end: that holds for the number, whoever it is recorded for."
    )
    at = InstantField(help_text="When it came.")
    settled = serializers.ChoiceField(
        choices=UnknownReply.Settled.choices,
        help_text="`assigned` to a client, `discarded`; empty: somebody has to see to it.",
    )
    settled_at = InstantField(allow_null=True, help_text="When.")
    settled_by = serializers.UUIDField(allow_null=True, help_text="By which staff member.")
    reason = serializers.CharField(help_text="Why it was discarded; or empty.")
    discarded_by = serializers.CharField(
        help_text="By which staff member, where it was assigned since; or empty."
    )
    correction = serializers.CharField(
        help_text="Why it was assigned after it had been discarded; or empty."
    )

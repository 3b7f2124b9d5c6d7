"""What is sent when a client says that they come."""

from __future__ import annotations

from practice.http.fields import EnumField, FlagField, InstantField, TextField
from practice.http.serializers import StrictSerializer
from sessions.calendar.domain.terms import ConfirmedBy, ConfirmedHow


class SessionConfirmationInputSerializer(StrictSerializer):
    """Who said that the client comes, and how; or that it is not certain any more."""

    example = {"by": "client", "how": "phone"}

    confirmed = FlagField(
        required=False, help_text="false: it is not confirmed any more; default true."
    )
    by = EnumField(ConfirmedBy, required=False, help_text="Who said so; default `client`.")
    how = EnumField(
        ConfirmedHow, required=False, help_text="How, e.g. `phone`; required to confirm."
    )
    reason = TextField(
        required=False,
        allow_blank=True,
        max_length=500,
        help_text="Only with `confirmed` false: why, e.g. `Marked in the wrong row.`",
    )
    occurred_at = InstantField(required=False, help_text="When it was said, if entered later.")

"""What is sent to bring lines into a draft."""

from __future__ import annotations

from practice.http.fields import EnumField, TextField, WholeNumberField
from practice.http.serializers import StrictSerializer
from sessions.notes.domain.terms import BroughtFrom


class BringLinesInputSerializer(StrictSerializer):
    """From where lines are brought; the revision it is done upon comes in If-Match."""

    example = {
        "device": "phone-7f2c",
        "sequence": 2,
        "origin": "plan",
        "response": "As expected, no pain.",
    }

    device = TextField(max_length=64, help_text="The device's own name, e.g. `phone-7f2c`.")
    app_start = TextField(
        required=False, max_length=32, help_text="As in a save: the name of this start of the app."
    )
    sequence = WholeNumberField(
        min_value=1, max_value=10**9, help_text="The device's running number, rising."
    )
    origin = EnumField(BroughtFrom, help_text="`plan` or `last_note`.")
    response = TextField(
        required=False,
        allow_blank=True,
        max_length=1000,
        help_text="With `plan`: what the client said of all of it, where that is one; else it is"
        " asked for line by line.",
    )

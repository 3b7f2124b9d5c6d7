"""Papers: asked for, sent, answered, withdrawn, put right; read."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from clients.health.fields import BodySiteSerializer
from clients.identity.fields import LONGEST_TEXT
from clients.orders.domain.terms import OrderSubject
from clients.papers.domain.commands import (
    AnswerPaper,
    AskForPaper,
    CorrectPaper,
    EndPaper,
    LinkOrder,
    SendPaper,
    TakeStepBack,
)
from clients.papers.domain.terms import (
    AskedRole,
    PaperChannel,
    PaperKind,
    PaperOutcome,
)
from practice.core.terms import Technique
from practice.http.examples import example_id
from practice.http.fields import DayField, EnumField, NameField, PhoneField, TextField
from practice.http.serializers import StrictSerializer


def _words(help_text: str) -> TextField:
    return TextField(required=False, allow_blank=True, max_length=LONGEST_TEXT, help_text=help_text)


class AskedOfSerializer(StrictSerializer):
    """Who was asked, and how they are reached."""

    name = NameField(max_length=120, help_text="Name, e.g. `Amara Whitfield`.")
    role = EnumField(AskedRole, help_text="What they are, e.g. `surgeon`.")
    phone = PhoneField(
        required=False, allow_blank=True, help_text="Phone; without country code US."
    )
    fax = PhoneField(required=False, allow_blank=True, help_text="Fax, e.g. +1 415 555 0172.")
    mail = TextField(
        required=False,
        allow_blank=True,
        max_length=500,
        help_text="Postal or mail address as written, e.g. `12 Lake Street, Erie PA`.",
    )


class AskedForSerializer(StrictSerializer):
    """What the paper is to allow or say: what is left out is not limited."""

    subjects = serializers.ListField(
        child=EnumField(OrderSubject),
        required=False,
        max_length=len(OrderSubject),
        help_text="What a clearance is to be for, e.g. `stretching`.",
    )
    sites = BodySiteSerializer(many=True, required=False, help_text="Regions and sides.")
    techniques = serializers.ListField(
        child=EnumField(Technique),
        required=False,
        max_length=len(Technique),
        help_text="Techniques, e.g. `passive`.",
    )
    words = _words("In words, e.g. `passive stretching of the left shoulder`.")


EXAMPLE: dict[str, Any] = {
    "kind": "clearance",
    "asked_of": {
        "name": "Amara Whitfield",
        "role": "surgeon",
        "phone": "+1 415 555 0171",
        "fax": "+1 415 555 0172",
    },
    "asked_for": {
        "subjects": ["stretching"],
        "sites": [{"region": "shoulder", "side": "left"}],
        "techniques": ["passive"],
    },
    "needed_by": "2026-03-20",
}
TITLE = "Title of a paper of kind `other`: one of the practice's own, setting `other_papers`."
LAST_DAY = "Last day on which it is of use, e.g. the end of the paper that it is to follow."


class PaperSendInputSerializer(StrictSerializer):
    """A request that went out, or a reminder."""

    command = SendPaper
    example = {"channel": "fax", "words": "to the ward's own number"}

    channel = EnumField(PaperChannel, help_text="How, e.g. `fax`.")
    on = DayField(required=False, help_text="When; today.")
    words = _words("What to know of it, e.g. `left a message`. The front desk reads it.")


class PaperInputSerializer(StrictSerializer):
    """A paper to be asked for."""

    command = AskForPaper
    example = EXAMPLE

    kind = EnumField(PaperKind, help_text="E.g. `clearance`, `referral`, `plan_signature`.")
    title = TextField(required=False, allow_blank=True, max_length=120, help_text=TITLE)
    asked_of = AskedOfSerializer(help_text="Who is asked.")
    asked_for = AskedForSerializer(
        required=False, help_text="What it is to allow or say; the front desk does not read it."
    )
    asked_on = DayField(required=False, help_text="When it was asked for; today.")
    needed_by = DayField(required=False, help_text="When it is needed; by the practice's setting.")
    expires_on = DayField(required=False, allow_null=True, help_text=LAST_DAY)
    sent = PaperSendInputSerializer(
        required=False, help_text="How the request went out, if it has; else that is told later."
    )


class PaperCorrectionInputSerializer(StrictSerializer):
    """What should have been recorded; what is left out stays."""

    command = CorrectPaper
    example = {"needed_by": "2026-03-27", "reason": "read the day of another client"}

    kind = EnumField(PaperKind, required=False, help_text="E.g. `referral`.")
    title = TextField(required=False, allow_blank=True, max_length=120, help_text=TITLE)
    asked_of = AskedOfSerializer(required=False, help_text="Who is asked, as a whole.")
    asked_for = AskedForSerializer(required=False, help_text="What for, as a whole.")
    asked_on = DayField(required=False, help_text="When it was asked for.")
    needed_by = DayField(required=False, help_text="When it is needed.")
    expires_on = DayField(
        required=False, allow_null=True, help_text=f"{LAST_DAY} null: there is none."
    )
    reason = TextField(max_length=LONGEST_TEXT, help_text="Why, e.g. `wrong surgeon`.")


class PaperAnswerInputSerializer(StrictSerializer):
    """An answer."""

    command = AnswerPaper
    example = {
        "outcome": "given",
        "answered_on": "2026-03-09",
        "order_id": example_id("clearance"),
    }

    outcome = EnumField(PaperOutcome, help_text="`given`, `partly` or `refused`.")
    answered_by = NameField(
        required=False, allow_blank=True, max_length=120, help_text="By whom; whoever was asked."
    )
    answered_on = DayField(required=False, help_text="When; today.")
    expires_on = DayField(required=False, allow_null=True, help_text="Last day that it holds.")
    order_id = serializers.UUIDField(
        required=False,
        allow_null=True,
        help_text="The order that was filed from it: that alone clears or restricts.",
    )
    words = _words("What the answer says; the front desk does not read it.")


class PaperOrderInputSerializer(StrictSerializer):
    """The order that was filed from an answer."""

    command = LinkOrder
    example = {"order_id": example_id("clearance")}

    order_id = serializers.UUIDField(help_text="Id of the order.")


class PaperEndInputSerializer(StrictSerializer):
    """A paper that is not waited for any more."""

    command = EndPaper
    example = {"reason": "the client changed surgeons"}

    reason = TextField(max_length=LONGEST_TEXT, help_text="Why. The front desk reads it.")


class PaperStepInErrorInputSerializer(StrictSerializer):
    """Something recorded of a paper that did not happen so."""

    command = TakeStepBack
    example = {"step_id": example_id("paper step"), "reason": "it was another client's fax"}

    step_id = serializers.UUIDField(help_text="Id of the step, from `steps`.")
    reason = TextField(max_length=LONGEST_TEXT, help_text="Why. The front desk reads it.")

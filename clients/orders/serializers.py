"""A surgeon's or physician's orders: filed, lifted, read."""

from __future__ import annotations

from rest_framework import serializers

from clients.health.fields import BodySiteSerializer, RangeLimitSerializer
from clients.health.serializers import _text
from clients.identity.fields import LONGEST_TEXT
from clients.orders.domain.commands import FileOrder
from clients.orders.domain.terms import OrderKind, OrderSubject, Prescriber
from practice.core.terms import Mode, Technique
from practice.http.examples import example_id
from practice.http.fields import DayField, EnumField, NameField, TextField
from practice.http.serializers import RecordSerializer, StrictSerializer


class OrderInputSerializer(StrictSerializer):
    """A surgeon's or physician's order as it reads."""

    command = FileOrder
    example = {
        "kind": "clearance",
        "prescriber": "surgeon",
        "prescriber_name": "Amara Whitfield",
        "given_on": "2026-02-20",
        "subjects": ["stretching"],
        "sites": [{"region": "shoulder", "side": "left"}, {"region": "arm", "side": "left"}],
        "techniques": ["contract_relax"],
        "expires_on": "2026-08-20",
    }

    kind = EnumField(OrderKind, help_text="E.g. `clearance`.")
    prescriber = EnumField(Prescriber, help_text="`surgeon` or `physician`.")
    prescriber_name = NameField(max_length=120, help_text="Name of who signed it.")
    given_on = DayField(help_text="Date on the order, e.g. `2026-02-20`.")
    subjects = serializers.ListField(
        child=EnumField(OrderSubject),
        required=False,
        max_length=len(OrderSubject),
        help_text="What it is about, e.g. `stretching`; a clearance covers only what it names.",
    )
    sites = BodySiteSerializer(
        many=True, required=False, help_text="Regions and sides that it names."
    )
    techniques = serializers.ListField(
        child=EnumField(Technique),
        required=False,
        max_length=len(Technique),
        help_text="Techniques that it names; none: clearance in general.",
    )
    limits = RangeLimitSerializer(
        many=True, required=False, help_text="Ranges that a restriction sets."
    )
    widest_mode = EnumField(
        Mode, required=False, help_text="What a restriction still leaves: `self_directed`."
    )
    from_date = DayField(required=False, allow_null=True, help_text="First day, if named.")
    expires_on = DayField(
        required=False,
        allow_null=True,
        help_text="Last day; a clearance without one ends by the practice's setting.",
    )
    text = _text("The order's own words.")


class OrderLiftInputSerializer(StrictSerializer):
    """An order lifted by name and date."""

    example = {
        "lifted_by": "Amara Whitfield",
        "lifted_on": "2026-03-09",
        "reason": "the incision has healed",
    }

    lifted_by = TextField(max_length=120, help_text="Who lifted it.")
    lifted_on = DayField(required=False, allow_null=True, help_text="From which day; today.")
    reason = _text("Why.")


class OrderPrecedenceInputSerializer(StrictSerializer):
    """Which stands of a restriction and a clearance of a later date."""

    example = {
        "clearance_id": example_id("clearance"),
        "stands": "clearance",
        "reason": "the surgeon confirmed it by phone",
    }

    clearance_id = serializers.UUIDField(help_text="Id of the later clearance.")
    stands = serializers.ChoiceField(
        choices=[OrderKind.RESTRICTION.value, OrderKind.CLEARANCE.value],
        help_text="`restriction`, or `clearance`: then the restriction ends today.",
    )
    reason = TextField(
        max_length=LONGEST_TEXT, help_text="Why, e.g. `the surgeon confirmed it by phone`."
    )


class OrderHeaderOutputSerializer(RecordSerializer):
    """An order by its kind, as the desk sees it."""

    id = serializers.UUIDField(help_text="Id of the order.")
    kind = EnumField(OrderKind, help_text="E.g. `clearance`.")
    given_on = serializers.DateField(help_text="Date on the order.")
    expires_on = serializers.DateField(allow_null=True, help_text="Last day.")
    lifted_on = serializers.DateField(allow_null=True, help_text="Lifted from this day.")


class OrderOutputSerializer(OrderHeaderOutputSerializer):
    """An order with its content; to the desk only its kind and dates."""

    prescriber = EnumField(Prescriber, required=False, help_text="`surgeon` or `physician`.")
    prescriber_name = serializers.CharField(required=False, help_text="Who signed it.")
    from_date = serializers.DateField(required=False, help_text="First day, if named.")
    subjects = serializers.ListField(
        child=EnumField(OrderSubject), required=False, help_text="What it is about."
    )
    sites = BodySiteSerializer(many=True, required=False, help_text="Regions and sides.")
    techniques = serializers.ListField(
        child=EnumField(Technique), required=False, help_text="Techniques that it names."
    )
    limits = RangeLimitSerializer(many=True, required=False, help_text="Ranges that it sets.")
    widest_mode = EnumField(Mode, required=False, help_text="What it still leaves.")
    text = serializers.CharField(required=False, help_text="The order's own words.")
    stands_against = serializers.ListField(
        child=serializers.UUIDField(),
        required=False,
        help_text="Later clearances over which a practitioner named this restriction to stand.",
    )
    lifted_by = serializers.CharField(required=False, help_text="Who lifted it.")
    lifted_reason = serializers.CharField(required=False, help_text="Why it was lifted.")


class OrderListOutputSerializer(RecordSerializer):
    """The client's orders, the newest first."""

    results = OrderOutputSerializer(many=True, help_text="Orders.")
    version = serializers.IntegerField(help_text="Version of the client's whole record; the ETag.")

"""Serializers of the owner's month."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.http.serializers import RecordSerializer, StrictSerializer

LINK = "The list that shows them."


def _count(help_text: str) -> serializers.IntegerField:
    return serializers.IntegerField(help_text=help_text)


class MonthQuerySerializer(StrictSerializer):
    """Which month."""

    month = serializers.RegexField(
        r"\A20[0-9]{2}-(0[1-9]|1[0-2])\Z",
        required=False,
        help_text="E.g. `2026-03`; the present one on the practice's clock.",
    )


class HeadlineOutputSerializer(RecordSerializer):
    """How many, and where they are listed."""

    count = _count("How many, e.g. 3.")
    link = serializers.CharField(help_text=LINK)


class OfPractitionerOutputSerializer(RecordSerializer):
    """A figure of one practitioner."""

    practitioner_id = serializers.UUIDField(allow_null=True, help_text="The practitioner.")
    practitioner_name = serializers.CharField(help_text="Name; may be empty.")


class CountOfPractitionerOutputSerializer(OfPractitionerOutputSerializer):
    """How many are one practitioner's."""

    count = _count("How many.")
    link = serializers.CharField(help_text=LINK)


class LiftedByOutputSerializer(OfPractitionerOutputSerializer):
    """Who lifted how many red flags."""

    count = _count("How many.")


class LicenceExpiringOutputSerializer(OfPractitionerOutputSerializer):
    """A licence that ends in the month and is not renewed."""

    credential = serializers.CharField(help_text="E.g. `physical_therapist`.")
    jurisdiction = serializers.CharField(help_text="ISO 3166-2, e.g. `US-PA`.")
    expires_on = serializers.DateField(help_text="Its last day.")
    link = serializers.CharField(help_text="The practitioner's licences.")


class RedFlagsOutputSerializer(RecordSerializer):
    """Red flags said and lifted in sessions of the month."""

    said = _count("How many were said.")
    lifted = _count("How many were lifted.")
    by_kind = serializers.DictField(
        child=serializers.IntegerField(), help_text="Those said, by kind."
    )
    lifted_by = LiftedByOutputSerializer(many=True, help_text="Who lifted them.")
    link = serializers.CharField(help_text=LINK)


class UnsignedOutputSerializer(HeadlineOutputSerializer):
    """Sessions that are over and have no signed note."""

    by_practitioner = CountOfPractitionerOutputSerializer(many=True, help_text="Whose they are.")


class IncidentsOutputSerializer(RecordSerializer):
    """Safety incidents."""

    happened = _count("How many happened in the month.")
    by_kind = serializers.DictField(child=serializers.IntegerField(), help_text="Those, by kind.")
    link = serializers.CharField(help_text=LINK)
    open = HeadlineOutputSerializer(help_text="All that are open now, of whatever month.")


class RecheckFiguresOutputSerializer(RecordSerializer):
    """Re-checks due in the month."""

    due = _count("All that were or are due in it.")
    maintained = _count("Of those, how many were measured and maintained.")
    regressed = _count("Of those, how many had regressed.")
    overdue = _count("Of those, how many still wait although their day is past.")
    link = serializers.CharField(help_text=LINK)


class RechecksOfPractitionerOutputSerializer(
    RecheckFiguresOutputSerializer, OfPractitionerOutputSerializer
):
    """Re-checks of one practitioner; null: of nobody."""


class RechecksOutputSerializer(RecheckFiguresOutputSerializer):
    """Re-checks of the practice and of each practitioner."""

    by_practitioner = RechecksOfPractitionerOutputSerializer(many=True, help_text="Whose they are.")


class PractitionerHoursOutputSerializer(OfPractitionerOutputSerializer):
    """What a practitioner worked."""

    sessions = _count("Sessions that took place and were signed.")
    booked_minutes = _count("Their minutes as booked, e.g. 2400.")
    attended_minutes = _count("Minutes attended by the signed notes.")
    link = serializers.CharField(help_text=LINK)


class RoomHoursOutputSerializer(RecordSerializer):
    """How a room was used."""

    room_id = serializers.UUIDField(allow_null=True, help_text="The room; null: none.")
    room_name = serializers.CharField(help_text="Name; may be empty.")
    sessions = _count("Sessions that took place and were signed.")
    booked_minutes = _count("Their minutes as booked.")


class OwnerMonthOutputSerializer(RecordSerializer):
    """A month of the practice."""

    month = serializers.CharField(help_text="E.g. `2026-03`.")
    to = serializers.DateField(help_text="Its last day.")
    licences_expiring = LicenceExpiringOutputSerializer(many=True, help_text="Not renewed.")
    limits_unverified = HeadlineOutputSerializer(help_text="Rows of law that nobody verified.")
    red_flags = RedFlagsOutputSerializer(help_text="Said and lifted.")
    sessions_narrowed = HeadlineOutputSerializer(help_text="Narrowed since they were planned.")
    sessions_entered_elsewhere = HeadlineOutputSerializer(
        help_text="Entered late with a practitioner who did not work at that facility."
    )
    notes_outside_permission = HeadlineOutputSerializer(help_text="Work outside its permission.")
    notes_unsigned = UnsignedOutputSerializer(help_text="Of sessions of the month.")
    notes_awaiting_co_signature = HeadlineOutputSerializer(
        help_text="Of sessions of the month: signed, and waiting for the supervisor or an answer."
    )
    incidents = IncidentsOutputSerializer(help_text="Safety incidents.")
    replies_of_nobody = HeadlineOutputSerializer(
        help_text="Texts from numbers of no client that nobody has settled, of whatever month."
    )
    rechecks = RechecksOutputSerializer(help_text="Due in the month, and what became of them.")
    practitioner_hours = PractitionerHoursOutputSerializer(many=True, help_text="By practitioner.")
    room_hours = RoomHoursOutputSerializer(many=True, help_text="By room.")

    def get_fields(self) -> dict[str, Any]:
        """``from`` is no name in Python."""
        return {**super().get_fields(), "from": serializers.DateField(help_text="Its first day.")}

"""Serializers of a client at a glance."""

from __future__ import annotations

from rest_framework import serializers

from clients.calls.serializers import CallOutputSerializer
from clients.identity.contact_serializers import (
    ContactHoursSerializer,
    EmergencyContactSerializer,
    GuardianSerializer,
    PhoneSerializer,
)
from clients.identity.domain.contact import ContactBy
from practice.http.fields import EnumField, InstantField
from practice.http.serializers import RecordSerializer
from sessions.desk.domain.day_sheet import DeskVerdict
from sessions.desk.serializers.call_list import CallEntryOutputSerializer


class ContactOutputSerializer(RecordSerializer):
    """Who the client is and how they may be reached."""

    name = serializers.CharField(help_text="Whole name.")
    birth_date = serializers.DateField(allow_null=True, help_text="To know who is on the phone.")
    phone = serializers.CharField(help_text="Phone in E.164; may be empty.")
    email = serializers.CharField(help_text="Mail address; may be empty.")
    contact_by = EnumField(
        ContactBy, help_text="How the client may be contacted; `none`: only in person."
    )
    contact_also_by = serializers.ListField(
        child=EnumField(ContactBy), help_text="What the client allows beside `contact_by`."
    )
    best_time = serializers.CharField(
        help_text="When they are best called, in their words, e.g. `after five`; or empty."
    )
    contact_hours = ContactHoursSerializer(
        allow_null=True, help_text="Between which hours of their clock; null: none were named."
    )
    phones = PhoneSerializer(many=True, help_text="All numbers, the main one first.")
    language = serializers.CharField(help_text="Language the client speaks best, BCP 47.")
    interpreter_needed = serializers.BooleanField(help_text="Whether an interpreter is needed.")
    emergency_contacts = EmergencyContactSerializer(
        many=True, help_text="Whom to call in an emergency."
    )
    guardian = GuardianSerializer(allow_null=True, help_text="Who decides for the client.")
    their_time = serializers.CharField(help_text="What time it is where the client is, `14:05`.")


class ConsentAtAGlanceOutputSerializer(RecordSerializer):
    """Touch consent in a sentence."""

    stands = serializers.BooleanField(
        help_text="Whether it stands today, by the judgement of permissions."
    )
    sentence = serializers.CharField(help_text="What stands, until when; or why nothing does.")


class NextVisitOutputSerializer(RecordSerializer):
    """A session that is booked."""

    id = serializers.UUIDField(help_text="Id of the session.")
    starts_at = InstantField(help_text="Start on the facility's clock with its offset.")
    practitioner_name = serializers.CharField(help_text="With whom.")
    facility_name = serializers.CharField(help_text="Where.")
    room_name = serializers.CharField(help_text="In which room; may be empty.")
    hands_on = EnumField(
        DeskVerdict, help_text="How much is by hand: `all`, `part`, `nothing`, or `fetch`."
    )
    missing = serializers.ListField(
        child=serializers.CharField(), help_text="Codes of what is missing for it; see `missing`."
    )
    confirmed = serializers.BooleanField(help_text="The client said that they come.")
    flagged = serializers.BooleanField(help_text="It narrowed since it was planned.")


class WeekOutputSerializer(RecordSerializer):
    """A week of a client's."""

    begins = serializers.DateField(help_text="Its Monday.")
    booked = serializers.IntegerField(help_text="Sessions in it, booked, under way or done.")


class RhythmOutputSerializer(RecordSerializer):
    """How often the client comes."""

    planned_per_week = serializers.IntegerField(
        allow_null=True, help_text="Sessions planned for a week; null: nothing is said of it."
    )
    weeks = WeekOutputSerializer(many=True, help_text="This week and the three that follow.")
    no_shows = serializers.IntegerField(help_text="How often the client did not come lately.")
    no_show_days = serializers.IntegerField(help_text="Within how many days that is counted.")
    last_no_show = serializers.DateField(
        allow_null=True, help_text="The last day of those; null: none."
    )


class CoverageLeftOutputSerializer(RecordSerializer):
    """What is left of an authorization; null where nothing limits it."""

    authorization_id = serializers.UUIDField(help_text="Id of the authorization.")
    number = serializers.CharField(help_text="The payer's number.")
    payer_name = serializers.CharField(help_text="The payer.")
    starts_on = serializers.DateField(help_text="First day.")
    last_day = serializers.DateField(help_text="Last day.")
    visits_left = serializers.IntegerField(allow_null=True, help_text="Visits left, e.g. 4.")
    units_left = serializers.IntegerField(allow_null=True, help_text="Units left, e.g. 16.")
    minutes_left = serializers.IntegerField(allow_null=True, help_text="Minutes left, e.g. 240.")
    days_booked = serializers.IntegerField(
        help_text="Days within it on which sessions are booked that draw on it; they are among"
        " what is left."
    )


class FollowedUpOutputSerializer(RecordSerializer):
    """That something is being followed up with the client; what it is, is not for the desk."""

    incident_id = serializers.UUIDField(help_text="Its id, to record who was told.")
    since = serializers.DateField(help_text="Since which day.")
    ask = serializers.CharField(help_text="Practitioner to whom questions go; may be empty.")
    call_on = serializers.DateField(allow_null=True, help_text="When to call the client next.")


class AtAGlanceOutputSerializer(RecordSerializer):
    """A client on the phone."""

    client_id = serializers.UUIDField(help_text="The client.")
    contact = ContactOutputSerializer(help_text="Who it is, and how to reach them.")
    consent = ConsentAtAGlanceOutputSerializer(help_text="Touch consent today.")
    missing = serializers.DictField(
        child=serializers.CharField(),
        help_text="By its code, what is missing for the next visits and whom to ask; without a "
        "visit, what would be missing today.",
    )
    next_visits = NextVisitOutputSerializer(many=True, help_text="At most 5, by start.")
    rhythm = RhythmOutputSerializer(
        help_text="Sessions of a week, planned and booked, and no-shows."
    )
    unsuitable_times = serializers.ListField(
        child=serializers.CharField(),
        help_text="What does not suit them, e.g. `Tuesdays 08:00 to 12:00 (chemotherapy)`.",
    )
    authorizations = CoverageLeftOutputSerializer(
        many=True, help_text="Those that are open or begin later, the first to end first."
    )
    to_call_about = CallEntryOutputSerializer(
        many=True, help_text="At most 3 things that stand on the call list."
    )
    followed_up = FollowedUpOutputSerializer(
        many=True, help_text="What is being followed up: put questions of it through."
    )
    last_calls = CallOutputSerializer(many=True, help_text="At most 3, the latest first.")

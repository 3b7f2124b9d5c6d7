"""Practitioners with licences, sign-offs and hours; supervision; staff accounts."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.core.terms import Credential, Gender, Role, Technique
from practice.http.examples import example_id
from practice.http.fields import (
    DayField,
    EnumField,
    FlagField,
    JurisdictionField,
    NameField,
    NpiField,
    TextField,
    WholeNumberField,
)
from practice.http.problems import ReasonSerializer
from practice.http.serializers import RecordSerializer, StrictSerializer


class IdsField(serializers.ListField):
    """Ids of a many-to-many set, sorted."""

    child = serializers.UUIDField()

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=500, **kwargs)

    def to_representation(self, data: Any) -> Any:
        """The ids of a manager's rows, or of a plain list."""
        rows = [row.pk for row in data.all()] if hasattr(data, "all") else data
        return sorted(str(pk) for pk in rows)


class WorkingHoursSerializer(StrictSerializer):
    """One span of working hours."""

    facility_id = serializers.UUIDField(help_text="Where, one of the facilities.")
    weekday = WholeNumberField(min_value=1, max_value=7, help_text="1 Monday to 7 Sunday, e.g. 1.")
    starts = serializers.TimeField(help_text="Local time, e.g. `08:00`.")
    ends = serializers.TimeField(
        help_text="Local time after `starts`, e.g. `16:00`; `00:00` is the end of the day."
    )


class PractitionerInputSerializer(StrictSerializer):
    """A practitioner to be added or changed."""

    example = {
        "name": "Lena Moroz",
        "gender": "woman",
        "credential": "physical_therapist",
        "npi": "1234567893",
        "languages": ["en", "es"],
        "facilities": [example_id("facility")],
        "working_hours": [
            {
                "facility_id": example_id("facility"),
                "weekday": 1,
                "starts": "08:00",
                "ends": "16:00",
            }
        ],
    }

    id = serializers.UUIDField(read_only=True, help_text="Id of the practitioner.")
    revision = serializers.IntegerField(read_only=True, help_text="Counts changes; the ETag.")
    name = NameField(max_length=120, help_text="Name, e.g. `Lena Moroz`.")
    gender = EnumField(
        Gender,
        required=False,
        allow_blank=True,
        help_text="As used in a client's preference of provider: `woman`.",
    )
    credential = EnumField(Credential, help_text="Training, e.g. `physical_therapist`.")
    npi = NpiField(
        required=False, allow_blank=True, help_text="National Provider Identifier, if any."
    )
    languages = serializers.ListField(
        child=TextField(max_length=20),
        required=False,
        max_length=20,
        help_text='Languages spoken (BCP 47), e.g. `["en", "es"]`.',
    )
    facilities = IdsField(help_text="Ids of the facilities where the practitioner works.")
    is_active = FlagField(required=False, help_text="false after leaving, e.g. true.")
    working_hours = WorkingHoursSerializer(
        many=True, required=False, help_text="Spans per weekday; replaced as a whole."
    )


class PractitionerOutputSerializer(PractitionerInputSerializer):
    """A new or changed practitioner, with what to see to."""

    warnings = ReasonSerializer(many=True, read_only=True, help_text="What to see to, if anything.")


class LicenceInputSerializer(StrictSerializer):
    """A licence in one jurisdiction."""

    example = {
        "jurisdiction": "US-PA",
        "credential": "physical_therapist",
        "number": "PT-104455",
        "valid_from": "2025-01-01",
        "expires_on": "2026-12-31",
    }

    id = serializers.UUIDField(read_only=True, help_text="Id of the licence.")
    revision = serializers.IntegerField(read_only=True, help_text="Counts changes; the ETag.")
    jurisdiction = JurisdictionField(help_text="ISO 3166-2 code of who gave it.")
    credential = EnumField(Credential, help_text="For which credential, e.g. `massage_therapist`.")
    number = TextField(max_length=40, help_text="Number on the licence, e.g. `PT-104455`.")
    valid_from = DayField(help_text="First day, e.g. `2025-01-01`.")
    expires_on = DayField(help_text="Last day on which it holds, e.g. `2026-12-31`.")


class LicenceOutputSerializer(LicenceInputSerializer):
    """A new or changed licence, with what to see to."""

    warnings = ReasonSerializer(many=True, read_only=True, help_text="What to see to, if anything.")


class CompetenceInputSerializer(StrictSerializer):
    """A technique that a practitioner is signed off for."""

    example = {
        "technique": "contract_relax",
        "signed_off_by": "Lena Moroz",
        "signed_off_on": "2026-01-15",
        "practised_on_colleagues": True,
    }

    id = serializers.UUIDField(read_only=True, help_text="Id of the sign-off.")
    revision = serializers.IntegerField(read_only=True, help_text="Counts changes.")
    technique = EnumField(Technique, help_text="Technique, e.g. `contract_relax`.")
    signed_off_by = NameField(
        max_length=120,
        help_text="Who signed off, somebody else than the practitioner, e.g. `Lena Moroz`.",
    )
    signed_off_on = DayField(help_text="When, e.g. `2026-01-15`.")
    practised_on_colleagues = FlagField(help_text="Practised on colleagues first; must be true.")
    reason = TextField(
        required=False,
        allow_blank=True,
        max_length=300,
        help_text="What stands for another's sign-off where the practice has no other practitioner,"
        " e.g. `course of 12 January 2026, certificate seen`.",
    )

    def validate_practised_on_colleagues(self, value: bool) -> bool:
        """Nobody is signed off before practising on colleagues (common practice, no source)."""
        if not value:
            raise serializers.ValidationError(
                "A technique is practised on colleagues before it is signed off."
            )
        return value


class CompetenceOutputSerializer(CompetenceInputSerializer):
    """A new sign-off, with what to see to."""

    warnings = ReasonSerializer(many=True, read_only=True, help_text="What to see to, if anything.")


class SupervisionSerializer(StrictSerializer):
    """Who supervises whom, where, on which local day."""

    example = {
        "supervisor_id": example_id("practitioner"),
        "supervised_id": example_id("supervised practitioner"),
        "facility_id": example_id("facility"),
        "day": "2026-03-10",
    }

    id = serializers.UUIDField(read_only=True, help_text="Id of the supervision.")
    revision = serializers.IntegerField(read_only=True, help_text="Counts changes; its ETag.")
    supervisor_id = serializers.UUIDField(help_text="Practitioner who supervises.")
    supervised_id = serializers.UUIDField(help_text="Practitioner who works under supervision.")
    facility_id = serializers.UUIDField(help_text="Where.")
    day = DayField(help_text="Local day of the facility, e.g. `2026-03-09`.")
    co_signs = FlagField(
        default=False,
        help_text="true: by the practice's own rule the supervisor co-signs the notes of that day;"
        " where work stands on supervision by law they do anyway. False if left out.",
    )
    reason = serializers.CharField(
        read_only=True, help_text="Why `co_signs` was changed last; or empty."
    )


class SupervisionChangeInputSerializer(StrictSerializer):
    """Whether the supervisor co-signs, and why that changes."""

    example = {"co_signs": True, "reason": "First weeks at this facility."}

    co_signs = FlagField(help_text="true: the supervisor co-signs the notes of that day.")
    reason = TextField(max_length=300, help_text="Why, e.g. `First weeks at this facility.`")


class SupervisedNoteOutputSerializer(RecordSerializer):
    """A session of that day under the supervision, and what the change does to its note."""

    session_id = serializers.UUIDField(help_text="The session.")
    signed = serializers.BooleanField(help_text="Its note is signed.")
    changes = serializers.BooleanField(
        help_text="true: its note is not signed yet and goes by the change; a signed one stays."
    )
    text = serializers.CharField(help_text="The same in a sentence.")


class SupervisionChangedOutputSerializer(SupervisionSerializer):
    """A supervision after its change, and what that does to the notes of its day."""

    notes = SupervisedNoteOutputSerializer(
        many=True,
        read_only=True,
        help_text="Those not signed yet, and of the signed ones those that wait for a co-signature"
        " or, where one is asked for now, were signed without.",
    )


class SupervisionEndInputSerializer(StrictSerializer):
    """Whose supervision ends, where, and from which local day on."""

    example = {
        "supervised_id": example_id("supervised practitioner"),
        "facility_id": example_id("facility"),
        "from_day": "2026-03-10",
    }

    supervised_id = serializers.UUIDField(help_text="Practitioner who worked under supervision.")
    facility_id = serializers.UUIDField(help_text="Where.")
    from_day = DayField(help_text="First local day without it, e.g. `2026-03-09`.")


class SupervisionEndOutputSerializer(RecordSerializer):
    """The days of supervision that were ended."""

    days = serializers.ListField(
        child=serializers.DateField(), help_text="The days that are not supervised any more."
    )


class StaffInputSerializer(StrictSerializer):
    """A staff account to be opened."""

    example = {
        "username": "desk.rivera",
        "name": "Ana Rivera",
        "role": "front_desk",
        "facilities": [example_id("facility")],
        "password": "a long sentence of your own",
    }

    id = serializers.UUIDField(read_only=True, help_text="Id of the account.")
    revision = serializers.IntegerField(read_only=True, help_text="Counts changes; the ETag.")
    username = serializers.RegexField(
        r"^[A-Za-z0-9][A-Za-z0-9._-]{2,59}$",
        help_text="3 to 60 letters, digits, dots, dashes, e.g. `desk.rivera`.",
        error_messages={"invalid": "3 to 60 letters, digits, dots, dashes or underscores."},
    )
    name = NameField(max_length=120, help_text="Name, e.g. `Ana Rivera`.")
    role = EnumField(Role, help_text="Role, e.g. `front_desk`.")
    practitioner_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="The practitioner whose account it is."
    )
    facilities = IdsField(required=False, help_text="Facilities whose rows the account sees.")
    is_active = FlagField(required=False, help_text="false for a leaver: all tokens end at once.")
    password = serializers.CharField(
        max_length=200,
        trim_whitespace=False,
        write_only=True,
        help_text="At least 12 characters; to change it ends all tokens of the account.",
    )


class StaffPatchInputSerializer(StaffInputSerializer):
    """What of a staff account is to be changed."""

    example = {"is_active": False, "practitioner_stays_active": False}

    practitioner_stays_active = FlagField(
        required=False,
        write_only=True,
        help_text="true where only the account ends; else a leaver's practitioner leaves too.",
    )


class StaffOutputSerializer(StaffInputSerializer):
    """A changed account, with what to see to."""

    warnings = ReasonSerializer(many=True, read_only=True, help_text="What to see to, if anything.")

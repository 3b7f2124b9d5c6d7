"""Input fields: what they take, what they refuse, and the commands made of them."""

from datetime import UTC, date, datetime
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

import msgspec
import pytest
from rest_framework import serializers

from practice.core.localtime import EnteredTime, Fold
from practice.core.reasons import Rejected
from practice.core.terms import Side
from practice.http.fields import (
    DayField,
    EnumField,
    FlagField,
    InstantField,
    LocalOrInstantField,
    PhoneField,
    WholeNumberField,
)
from practice.http.serializers import StrictSerializer


class Reading(msgspec.Struct, frozen=True):
    side: Side
    degrees: int


class Booking(msgspec.Struct, frozen=True):
    client_id: UUID
    starts_at: EnteredTime
    day: date
    seen_at: datetime
    readings: tuple[Reading, ...] = ()


class ReadingForm(StrictSerializer):
    side = EnumField(Side)
    degrees = WholeNumberField(min_value=0, max_value=180)


class BookingForm(StrictSerializer):
    command = Booking

    starts_at = LocalOrInstantField()
    day = DayField()
    seen_at = InstantField()
    readings = ReadingForm(many=True, required=False)


GOOD = {
    "starts_at": {"local": "2026-03-09T09:30"},
    "day": "2026-03-09",
    "seen_at": "2026-03-09T09:30:00-07:00",
    "readings": [{"side": "left", "degrees": 120}],
}


def test_a_command_is_made_of_nested_input_and_an_id_of_the_path() -> None:
    client_id = uuid4()
    made = BookingForm.read(GOOD, client_id=client_id)
    assert made == Booking(
        client_id=client_id,
        starts_at=EnteredTime(local=datetime(2026, 3, 9, 9, 30), field="starts_at"),
        day=date(2026, 3, 9),
        seen_at=datetime(2026, 3, 9, 16, 30, tzinfo=UTC),
        readings=(Reading(Side.LEFT, 120),),
    )
    assert made.starts_at.at("America/Los_Angeles") == made.seen_at


def test_a_fold_is_chosen() -> None:
    typed = {"local": "2026-11-01T01:30", "fold": "later"}
    made = BookingForm.read({**GOOD, "starts_at": typed}, client_id=uuid4())
    assert made.starts_at.fold is Fold.LATER
    assert made.starts_at.at("America/New_York") == datetime(2026, 11, 1, 6, 30, tzinfo=UTC)


def test_a_time_in_the_gap_names_its_field() -> None:
    made = BookingForm.read({**GOOD, "starts_at": {"local": "2026-03-08T02:30"}}, client_id=uuid4())
    with pytest.raises(Rejected) as refusal:
        made.starts_at.at("America/New_York")
    assert "starts_at" in refusal.value.fields


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("starts_at", "2026-03-09T09:30:00"),
        ("starts_at", "2026-03-09"),
        ("starts_at", "tomorrow"),
        ("starts_at", 5),
        ("starts_at", None),
        ("starts_at", {"local": "2026-03-09T09:30-07:00"}),
        ("starts_at", {"local": "2026-03-09T09:30", "fold": "second"}),
        ("starts_at", {"local": "2026-03-09T09:30", "fold": ["later"]}),
        ("starts_at", {"local": "2026-03-09T09:30", "zone": "UTC"}),
        ("starts_at", {"local": 7}),
        ("starts_at", {}),
        ("starts_at", {"local": "0001-01-01T00:00"}),
        ("day", "2026-02-30"),
        ("day", "0099-01-01"),
        ("day", "2026-03-09T00:00:00Z"),
        ("day", 20260309),
        ("seen_at", "2026-03-09T09:30:00"),
        ("seen_at", "9999-12-31T23:59:59-12:00"),
        ("readings", [{"side": "left", "degrees": True}]),
        ("readings", [{"side": "left", "degrees": "120"}]),
        ("readings", [{"side": "left", "degrees": 181}]),
        ("readings", [{"side": "up", "degrees": 1}]),
        ("readings", [{"side": ["left"], "degrees": 1}]),
        ("readings", [{"side": "left", "degrees": 1, "more": 1}]),
        ("readings", {"side": "left"}),
    ],
)
def test_what_cannot_be_is_refused(field: str, value: object) -> None:
    form = BookingForm(data={**GOOD, field: value})
    assert not form.is_valid()
    assert set(form.errors) == {field}


@pytest.mark.parametrize("data", [None, [], "text", 5, {"unknown": 1}])
def test_input_that_is_no_object_or_names_something_else_is_refused(data: object) -> None:
    assert not BookingForm(data=data).is_valid()


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("415-555-0123", "+14155550123"),
        ("+44 20 7946 0018", "+442079460018"),
        ("(415) 555 0123", "+14155550123"),
    ],
)
def test_phones_are_kept_in_e164(typed: str, kept: str) -> None:
    assert PhoneField().run_validation(typed) == kept


@pytest.mark.parametrize("value", ["true", 1, 0, None, "yes"])
def test_a_flag_is_a_flag(value: object) -> None:
    with pytest.raises(serializers.ValidationError):
        FlagField().run_validation(value)


def test_partial_input_leaves_out_whole_fields_only() -> None:
    assert BookingForm.checked({"day": "2026-03-09"}, partial=True) == {"day": date(2026, 3, 9)}
    with pytest.raises(serializers.ValidationError):
        BookingForm.checked({"readings": [{"side": "left"}]}, partial=True)


def test_a_day_that_the_calendar_has_not_is_named() -> None:
    with pytest.raises(serializers.ValidationError, match="The calendar has no 2026-02-30"):
        DayField().run_validation("2026-02-30")


def test_an_extension_is_refused_not_dropped() -> None:
    with pytest.raises(serializers.ValidationError, match="Extensions are not kept"):
        PhoneField().run_validation("(415) 555-0133 ext 4")


@pytest.mark.parametrize(
    ("zone", "text"),
    [
        ("UTC", "2026-03-09T16:30:00Z"),
        ("Europe/London", "2026-03-09T16:30:00Z"),
        ("America/Los_Angeles", "2026-03-09T09:30:00-07:00"),
    ],
)
def test_an_instant_has_one_form_in_answers(zone: str, text: str) -> None:
    """That of the framework's own field, whose zone is UTC."""
    at = datetime(2026, 3, 9, 16, 30, tzinfo=UTC)
    assert InstantField().to_representation(at.astimezone(ZoneInfo(zone))) == text
    assert LocalOrInstantField().to_representation(at.astimezone(ZoneInfo(zone))) == text
    assert serializers.DateTimeField().to_representation(at) == "2026-03-09T16:30:00Z"

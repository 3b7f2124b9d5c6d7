"""The practice's settings of each kind of reminder (groups ``remind_<kind>``), and when a
reminder of a day goes. Pure."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from enum import StrEnum
from typing import Annotated, Literal

import msgspec

from clients.reminders.domain.hours import ReminderSettings
from practice.core.localtime import derived_instant

Hour = Annotated[int, msgspec.Meta(ge=0, le=23)]


class Addressee(StrEnum):
    """Whom a reminder is for; but for the client it stands on the list of reminders."""

    CLIENT = "client"
    DESK = "desk"
    PRACTITIONER = "practitioner"
    OWNER = "owner"


class Channel(StrEnum):
    """How a reminder goes; ``list``: a person tells it."""

    MAIL = "mail"
    TEXT = "text"
    LIST = "list"


class Wording(StrEnum):
    """The templates of what clients are written."""

    VISIT_DUE = "visit_due"
    STILL_TO_COME = "still_to_come"
    VISIT_TOMORROW = "visit_tomorrow"
    FORM_ENDS = "form_ends"


class ReminderRule(msgspec.Struct, frozen=True, kw_only=True):
    """``lead_days`` before its day, from ``hour`` of the local day on. ``most_repeats``: how
    often it is repeated where the kind repeats. ``quiet_hours`` (from, until): its own hours
    without a message, empty for those of the practice."""

    is_on: bool
    lead_days: int
    hour: Hour
    most_repeats: int
    quiet_hours: Annotated[tuple[Hour, ...], msgspec.Meta(max_length=2)]

    def __post_init__(self) -> None:
        if len(self.quiet_hours) == 1:
            raise ValueError("give two hours, from and until, or none")

    def quiet(self, usual: ReminderSettings) -> ReminderSettings:
        """The hours in which nobody is written to."""
        if len(self.quiet_hours) < 2:
            return usual
        begin, end = self.quiet_hours
        return ReminderSettings(quiet_from_hour=begin, quiet_until_hour=end)

    def goes_at(self, day: date, zone: str, *, days_before: int) -> datetime:
        """When a reminder of ``day`` goes, so many days before it, on the clock of ``zone``."""
        return derived_instant(
            datetime.combine(day - timedelta(days=days_before), time(self.hour)), zone
        )


class ClientRule(ReminderRule, frozen=True, kw_only=True):
    """Of a kind that may be for the client: by mail or text as they wish, or told by the desk."""

    addressee: Literal["client", "desk"]
    channel: Literal["as_wished", "list"]


class RecheckRule(ClientRule, frozen=True, kw_only=True):
    """Of a visit that is due: a template says what its kind knows, and no other."""

    template: Literal["visit_due", "still_to_come"]


class SessionRule(ClientRule, frozen=True, kw_only=True):
    """Of a session that is booked."""

    template: Literal["visit_tomorrow"]


class ConsentRule(ClientRule, frozen=True, kw_only=True):
    """Of a consent that ends."""

    template: Literal["form_ends"]


class StaffRule(ReminderRule, frozen=True, kw_only=True):
    """Of a kind that is for the staff alone; it stands on their list."""

    addressee: Literal["desk", "practitioner", "owner"]
    channel: Literal["list"]


class MessageLimits(msgspec.Struct, frozen=True, kw_only=True):
    """Group ``messages``: how many texts a client gets at most."""

    texts_per_day: int
    texts_per_week: int

"""Local times of a facility and the instants they stand for. Pure.

A local time may not exist (the gap, when clocks go forward) or exist twice (the
fold, when they go back). A time that a person typed is refused with what would
be right; a time that the program derived (an occurrence of a series, a due
reminder) goes forward out of the gap and takes the first of the fold.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from enum import StrEnum
from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

import msgspec

from practice.core.reasons import Rejected, invalid


class Fold(StrEnum):
    """Which of the two is meant where a local time exists twice."""

    EARLIER = "earlier"
    LATER = "later"


class EnteredTime(msgspec.Struct, frozen=True, kw_only=True):
    """A time as a person gave it: an instant, or a local time of the facility.

    Exactly one of ``instant`` (aware) and ``local`` (naive) is set; ``fold`` goes
    with ``local`` only. ``field`` names the input for the problem document.
    """

    instant: datetime | None = None
    local: datetime | None = None
    fold: Fold | None = None
    field: str = "local"

    def at(self, zone: str) -> datetime:
        """The instant in UTC. Raises Rejected 400 for a time in the gap or an open fold."""
        if self.instant is not None:
            return self.instant.astimezone(UTC)
        if self.local is None:
            raise invalid(self.field, "Give an instant with offset or a local time.")
        return entered_instant(self.local, zone, fold=self.fold, field=self.field)


@lru_cache(maxsize=1)
def zone_names() -> frozenset[str]:
    """The names of the IANA time zone database that may be used for a place."""
    return frozenset(available_timezones())


@lru_cache(maxsize=256)
def zone_named(name: str) -> ZoneInfo:
    """The zone of an IANA name. Raises Rejected 400 for a name that is none."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise invalid(
            "zone", f"{name!r} is no IANA time zone; one is 'America/New_York'.", "unknown_zone"
        ) from None


def _both(local: datetime, zone: str) -> tuple[datetime, datetime, bool]:
    """The instants of both folds in UTC, and whether the local time exists at all."""
    here = zone_named(zone)
    plain = local.replace(tzinfo=None, fold=0)
    first = plain.replace(tzinfo=here).astimezone(UTC)
    second = plain.replace(tzinfo=here, fold=1).astimezone(UTC)
    exists = first.astimezone(here).replace(tzinfo=None, fold=0) == plain
    return first, second, exists


def entered_instant(
    local: datetime, zone: str, *, fold: Fold | None = None, field: str = "local"
) -> datetime:
    """The instant (UTC) of a local time that a person typed, naive, in an IANA zone.

    Raises Rejected 400: ``local_time_does_not_exist`` with the first time that
    does, or ``local_time_exists_twice`` where ``fold`` does not say which.
    """
    try:
        first, second, exists = _both(local, zone)
    except OverflowError:
        raise invalid(field, "This time is out of range.") from None
    if not exists:
        after = first.astimezone(zone_named(zone)).replace(tzinfo=None)
        raise Rejected(
            "local_time_does_not_exist",
            f"{local:%Y-%m-%d %H:%M} does not exist in {zone}: clocks go forward then. "
            f"{after:%H:%M} on that day is the same moment on the new clock.",
            status=400,
            fields={field: f"Give a time that exists, for example {after:%Y-%m-%dT%H:%M}."},
        )
    if first == second:
        return first
    if fold is None:
        raise Rejected(
            "local_time_exists_twice",
            f"{local:%Y-%m-%d %H:%M} exists twice in {zone}: clocks go back then.",
            status=400,
            fields={field: "Say which with fold: 'earlier' or 'later'."},
            extra={"earlier": first.isoformat(), "later": second.isoformat()},
        )
    return first if fold is Fold.EARLIER else second


def derived_instant(local: datetime, zone: str) -> datetime:
    """The instant (UTC) of a derived local time: forward out of the gap, first of the fold.

    A time in the gap keeps its distance from the midnight before: 02:30 becomes
    03:30 where clocks go forward by an hour at 02:00.
    """
    return _both(local, zone)[0]


def local_day(instant: datetime, zone: str) -> date:
    """The calendar day of an instant in an IANA zone."""
    return instant.astimezone(zone_named(zone)).date()


def last_local_day(end: datetime, zone: str) -> date:
    """The day of the last moment before an instant: what ends at midnight ends with its day."""
    return local_day(end - timedelta(microseconds=1), zone)


def day_bounds(day: date, zone: str) -> tuple[datetime, datetime]:
    """Begin and end (exclusive) of a local day, in UTC: 23, 24 or 25 hours apart."""
    begin = derived_instant(datetime.combine(day, time()), zone)
    return begin, derived_instant(datetime.combine(day + timedelta(days=1), time()), zone)


def minute_of(instant: datetime) -> int:
    """The minute that an instant lies in, counted from 1970-01-01T00:00Z."""
    return int(instant.timestamp() // 60)


def minute_after(instant: datetime) -> int:
    """The first minute that begins at an instant or after it."""
    return -int(-instant.timestamp() // 60)


def instant_of(minute: int) -> datetime:
    """The instant (UTC) at which a minute begins."""
    return datetime.fromtimestamp(minute * 60, UTC)


@lru_cache(maxsize=4096)
def day_minutes(day: date, zone: str) -> tuple[int, int]:
    """Begin and end (exclusive) of a local day in minutes: 1380, 1440 or 1500 apart."""
    begin, end = day_bounds(day, zone)
    return minute_of(begin), minute_of(end)

"""The times of a series: a rule of recurrence (RFC 5545, 3.3.10) on a facility's clock. Pure.

The rule repeats a time of the clock, not an instant: half past nine stays half past nine on
both sides of a clock change. An occurrence in the gap goes forward, one in the fold takes the
first (ruling 19). A rule must end, by COUNT or UNTIL, within the practice's bounds.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, datetime, time, timedelta
from itertools import islice
from typing import Final

from dateutil.rrule import rrulestr

from practice.core.localtime import derived_instant, zone_named
from practice.core.reasons import invalid
from sessions.series.domain.settings import SeriesSettings

FIELD: Final = "recurrence"
FREQUENCIES: Final = ("DAILY", "WEEKLY", "MONTHLY")
PARTS: Final = frozenset(
    {"FREQ", "INTERVAL", "COUNT", "UNTIL", "BYDAY", "BYMONTHDAY", "BYMONTH", "BYSETPOS", "WKST"}
)
EXAMPLE: Final = "FREQ=WEEKLY;BYDAY=TU,TH;COUNT=12"
_NUMBER: Final = re.compile(r"\A[1-9][0-9]{0,3}\Z")
_UNTIL: Final = re.compile(r"\A([0-9]{8})(?:T([0-9]{6})(Z?))?\Z")


def occurrences(rule: str, first: datetime, zone: str, settings: SeriesSettings) -> list[datetime]:
    """The starts of a series as instants (UTC), in order.

    ``first`` is its first local start, naive: the rule counts from it, and times before it are
    none. Raises Rejected 400 for a rule that cannot be read, does not end, fits no day or goes
    beyond the bounds.
    """
    parts = _parts(rule)
    horizon = first + timedelta(days=settings.most_days - 1)
    count = int(parts.pop("COUNT", "0"))
    until = _until(parts.pop("UNTIL"), zone) if "UNTIL" in parts else None
    if until is not None and until > datetime.combine(horizon, time.max):
        raise invalid(FIELD, _too_long(settings))
    most = settings.most_occurrences
    last = min(until or horizon, horizon)
    found = _local_times(parts, first, last, min(count or most + 1, most + 1))
    if not found:
        raise invalid(FIELD, "No day fits this rule: there would be no session.")
    if len(found) > most or count > most:
        raise invalid(FIELD, f"A series has at most {most} sessions.")
    if len(found) < count:
        raise invalid(FIELD, _too_long(settings))
    return [derived_instant(one, zone) for one in found]


def _too_long(settings: SeriesSettings) -> str:
    return f"A series ends within {settings.most_days} days of its first."


def _parts(rule: str) -> dict[str, str]:
    """The parts of a rule by name, each of which is known and stands once."""
    parts: dict[str, str] = {}
    for part in rule.strip().upper().removeprefix("RRULE:").split(";"):
        name, equals, value = part.partition("=")
        if not equals or not value or name not in PARTS:
            names = ", ".join(sorted(PARTS))
            raise invalid(FIELD, f"{part!r} is no part of such a rule: {names}; e.g. {EXAMPLE}.")
        if name in parts:
            raise invalid(FIELD, f"{name} stands twice in the rule.")
        parts[name] = value
    _check(parts)
    return parts


def _check(parts: Mapping[str, str]) -> None:
    if parts.get("FREQ") not in FREQUENCIES:
        raise invalid(FIELD, f"FREQ is one of {', '.join(FREQUENCIES)}, e.g. {EXAMPLE}.")
    if ("COUNT" in parts) == ("UNTIL" in parts):
        raise invalid(FIELD, "A series ends: give either COUNT or UNTIL.")
    for name in ("COUNT", "INTERVAL"):
        if name in parts and not _NUMBER.match(parts[name]):
            raise invalid(FIELD, f"{name} is a whole number from 1 on.")
    if parts["FREQ"] != "MONTHLY" and re.search(r"[0-9]", parts.get("BYDAY", "")):
        raise invalid(FIELD, "Only a MONTHLY rule counts weekdays, e.g. BYDAY=1MO.")


def _until(value: str, zone: str) -> datetime:
    """The last moment of UNTIL on the facility's clock; a day without a time is meant whole."""
    found = _UNTIL.match(value)
    try:
        if found is None:
            raise ValueError(value)
        day, at, utc = found.groups()
        if at is None:
            return datetime.combine(datetime.strptime(day, "%Y%m%d"), time.max)  # noqa: DTZ007
        local = datetime.strptime(f"{day}{at}", "%Y%m%d%H%M%S")  # noqa: DTZ007  a clock's time
        if not utc:
            return local
        return local.replace(tzinfo=UTC).astimezone(zone_named(zone)).replace(tzinfo=None)
    except (ValueError, OverflowError):
        raise invalid(FIELD, "UNTIL is a day, 20260430, or a time, 20260430T160000Z.") from None


def _local_times(
    parts: Mapping[str, str], first: datetime, last: datetime, most: int
) -> list[datetime]:
    text = ";".join(f"{name}={value}" for name, value in parts.items())
    try:
        # A rule that fits no day would be searched to the end of time: it always has an UNTIL.
        found = rrulestr(f"{text};UNTIL={last:%Y%m%dT%H%M%S}", dtstart=first)
        return list(islice(found, most))
    except (ValueError, TypeError, LookupError, AttributeError):
        raise invalid(FIELD, f"This is no rule of recurrence (RFC 5545), e.g. {EXAMPLE}.") from None

"""What should be seen to about a facility: its law, its clock, the sessions booked there."""

from __future__ import annotations

from collections.abc import Iterator

from practice.core.reasons import Reason
from practice.core.zone_countries import country_name, zone_fits
from practice.law.fixtures import starter_limits
from practice.people_and_places.models.facilities import Facility
from practice.people_and_places.services.facilities import ChangedFacility
from practice.policy import hooks

POLICY = "practice policy"
CLOCK = "the zone decides local days and hours, the jurisdiction the law"


def facility_warnings(row: Facility, limits: int) -> Iterator[Reason]:
    """A jurisdiction without law on record (``limits``: its rows), and a zone that is no clock
    of its country."""
    if not limits:
        yield _missing_law(row.jurisdiction)
    if not zone_fits(row.zone, row.jurisdiction):
        text = (
            f"{row.zone} is no time zone of {country_name(row.jurisdiction)}, where"
            f" {row.jurisdiction} is: one of the two is wrong."
        )
        yield Reason(code="zone_of_another_country", text=text, source=CLOCK)


def changed_facility_warnings(changed: ChangedFacility, limits: int) -> Iterator[Reason]:
    """The same, and what another law, another clock or the end of it does to what is booked."""
    row = changed.row
    yield from facility_warnings(row, limits)
    other_law = row.jurisdiction != changed.jurisdiction_before
    other_clock = row.zone != changed.zone_before
    asked = other_law or other_clock or changed.closed
    booked = hooks.count_upcoming_sessions_at(row.pk) if asked else 0
    if changed.closed and booked:
        text = (
            f"{booked} booked sessions here are upcoming, and the facility is closed for good: none"
            " is held. Each is flagged within a minute or so and comes on the call list; move or"
            f" cancel them. GET /sessions?facility_id={row.pk}&status=booked lists them."
        )
        yield Reason(code="sessions_at_closed_facility", text=text, source=POLICY)
    if other_law and booked:
        text = (
            f"{booked} booked sessions here are upcoming: each is evaluated again by the law of"
            f" {row.jurisdiction} instead of {changed.jurisdiction_before} within a minute or so,"
            " with the licences that count there; what narrows is flagged."
            f" GET /sessions?facility_id={row.pk}&flagged=true lists them."
        )
        yield Reason(code="sessions_under_another_law", text=text, source=POLICY)
    if other_law and not other_clock and zone_fits(row.zone, row.jurisdiction):
        text = (
            f"The jurisdiction is {row.jurisdiction} now, no longer {changed.jurisdiction_before},"
            f" and the time zone is still {row.zone}: see whether it is the clock there."
        )
        yield Reason(code="zone_stayed", text=text, source=CLOCK)
    if other_clock and booked:
        text = (
            f"{booked} booked sessions here are upcoming and keep their instants: on the clock of"
            f" {row.zone} they stand at another hour than on that of {changed.zone_before} where"
            " the two differ. Move them where the hour was meant."
        )
        yield Reason(code="sessions_keep_their_instant", text=text, source=CLOCK)


def _missing_law(jurisdiction: str) -> Reason:
    todo = (
        "Take over the starter rows (POST .../starter-limits) or enter your own."
        if starter_limits(jurisdiction)
        else f"Ask the board and enter your own; there are none shipped for {jurisdiction}."
    )
    text = (
        f"There is no limit on record for {jurisdiction}: until there is, everyone's work there "
        f"is self-directed. {todo}"
    )
    source = "practice policy: unknown law is self-directed"
    return Reason(code="no_limits_on_record", text=text, source=source)

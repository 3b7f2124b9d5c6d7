"""Sessions to come that narrowed since they were planned: the client is told before they come.

What is said is what is true of the session now: that it cannot be held there or with that
practitioner, that nothing can be done in it, or how much of it is still by hand.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from django.db.models import QuerySet

from clients.calls.hooks import CallSource
from clients.permissions.domain.inputs import PlaceBar
from clients.permissions.domain.results import HandsOnExtent
from practice.core.localtime import zone_named
from practice.core.terms import Mode
from practice.people_and_places.selectors.kept import facility_names, practitioner_names
from sessions.booking.domain.narrowed_by_move import BY_MOVE
from sessions.calendar.domain.event_texts import EXTENT_WORDS
from sessions.calendar.models import Session

CANNOT_BE_HELD: dict[str, str] = {
    PlaceBar.FACILITY_CLOSED: (
        "cannot be held: {facility} is closed for good. Move it to another facility, or call it"
        " off."
    ),
    PlaceBar.PRACTITIONER_LEFT: (
        "cannot be held: {practitioner} has left the practice. Book another practitioner."
    ),
    PlaceBar.PRACTITIONER_ELSEWHERE: (
        "cannot be held: {practitioner} does not work at {facility} any more. Book another"
        " practitioner."
    ),
    "preference.all_work": (
        "may not be held with {practitioner}, by the client's own preference: book another"
        " practitioner."
    ),
}
"""What the desk is told of a session that cannot stand as it is booked, by the flag's reason."""


def _flagged_ahead(now: datetime) -> QuerySet[Session]:
    """Booked ones that have not ended; the day lets the index begin near them."""
    return Session.objects.filter(
        status="booked",
        flagged=True,
        flagged_at__isnull=False,
        ends_at__gt=now,
        local_date__gte=(now - timedelta(days=2)).date(),
    )


def _told(rows: Sequence[Session], _now: datetime) -> list[str]:
    texts = []
    for row in rows:
        local = row.starts_at.astimezone(zone_named(row.zone))
        texts.append(f"The session on {local:%Y-%m-%d} at {local:%H:%M} {_what(row)}")
    return texts


def _what(row: Session) -> str:
    planned = row.reasons if row.mode == Mode.NOT_TODAY else []
    codes = {one["code"] for one in (*row.flag_reasons, *planned)}
    found = next((text for code, text in CANNOT_BE_HELD.items() if code in codes), None)
    if found is not None:
        return found.format(
            practitioner=practitioner_names().get(row.practitioner_id, "that practitioner"),
            facility=facility_names().get(row.facility_id, "that facility"),
        )
    left = EXTENT_WORDS[HandsOnExtent(row.hands_on)]
    before = {row.first_mode, *(group["was"] for group in row.narrowed)}
    if row.flag_cause == BY_MOVE:
        if Mode.HANDS_ON in before:
            return f"narrowed when it was moved: {left} now."
        return "was planned without hands-on work, and less can be done in it since it was moved."
    if Mode.HANDS_ON in {row.planned_mode, *before}:
        return f"narrowed since it was planned: {left} now."
    if row.mode == Mode.NOT_TODAY:
        return "was planned without hands-on work, and nothing can be done in it now."
    return "was planned without hands-on work, and less can be done in it now."


SESSIONS_NARROWED = CallSource(
    reason="session_narrowed",
    explained="A session to come may be less than it was planned as.",
    rows=_flagged_ahead,
    by="local_date",
    about="id",
    since="flagged_at",
    told=_told,
)

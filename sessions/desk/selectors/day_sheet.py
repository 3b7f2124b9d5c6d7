"""A day at a facility or of a practitioner: the same queries for one session and for a hundred."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from clients.identity.display_names import with_display_names
from clients.permissions.domain.results import HandsOnExtent
from practice.core.decisions import Actor
from practice.core.localtime import local_day, zone_named
from practice.people_and_places.selectors.facilities import facility_get, practitioner_get
from sessions.booking.filters import FURTHEST_ZONE
from sessions.calendar.domain.session_state import TIME_HOLDING_STATUSES, SessionStatus
from sessions.calendar.models import Session
from sessions.calendar.selectors.classes import class_titles
from sessions.calendar.selectors.facilities import zone_of
from sessions.calendar.selectors.gaps import cannot_be, gaps_of, texts_of
from sessions.calendar.selectors.sessions import session_list
from sessions.desk.domain.day_sheet import SheetLine, desk_verdict, sheet_headline
from sessions.desk.selectors.gaps import reasons_against
from sessions.desk.selectors.guardians import guardians_at, told

LEFT_OUT = (SessionStatus.CANCELLED, SessionStatus.ENTERED_IN_ERROR)


@dataclass(frozen=True, kw_only=True)
class DaySheetQuery:
    """Whose day: of a facility, of a practitioner, or of both; ``day`` None: today there."""

    facility_id: UUID | None = None
    practitioner_id: UUID | None = None
    day: date | None = None


@dataclass(frozen=True)
class DaySheet:
    """``sessions`` are shown as they stand here; ``people`` and ``places`` are the names of
    their short keys, ``texts`` those of the codes in ``missing``."""

    day: date
    zone: str
    headline: str
    sessions: list[dict[str, Any]]
    people: dict[str, str]
    texts: dict[str, str]
    places: dict[str, str] = field(default_factory=dict)
    client_ids: frozenset[UUID] = frozenset()


def day_sheet(actor: Actor, asked: DaySheetQuery, now: datetime) -> DaySheet:
    """The day as the caller may see it. Raises Rejected 404 for a facility or practitioner
    whom they do not see.

    A practitioner alone: at every place of theirs that the caller sees, each on its own clock;
    today is that of the practice.
    """
    if asked.facility_id is not None:
        facility_get(actor, asked.facility_id)
    if asked.practitioner_id is not None:
        practitioner_get(actor, asked.practitioner_id)
    zone = zone_of(asked.facility_id)
    day = asked.day or local_day(now, zone)
    rows = with_display_names(_of_day(session_list(actor), asked, day))
    ahead = [row for row in rows if row.status in TIME_HOLDING_STATUSES]
    gaps = gaps_of(ahead)
    people, places = _keys(rows, "practitioner", "p"), _keys(rows, "facility", "f")
    lines = [_line(row, gaps.get(row.pk, [])) for row in rows]
    titles = class_titles(rows)
    guardians = guardians_at(ahead)
    shown = [
        {
            **_shown(row, line, people[row.practitioner_id], places[row.facility_id]),
            **({"guardian": told(guardians[row.pk])} if row.pk in guardians else {}),
            **({"class": titles[row.class_id]} if row.class_id else {}),
        }
        for row, line in zip(rows, lines, strict=True)
    ]
    if asked.facility_id is not None:
        shown = [{name: one[name] for name in one if name != "place"} for one in shown]
    return DaySheet(
        day=day,
        zone=zone,
        headline=sheet_headline(lines),
        sessions=shown,
        people={people[row.practitioner_id]: row.practitioner_name for row in rows},  # type: ignore[attr-defined]
        texts=texts_of(code for codes in gaps.values() for code in codes),
        places={}
        if asked.facility_id is not None
        else {places[row.facility_id]: row.facility_name for row in rows},  # type: ignore[attr-defined]
        client_ids=frozenset(row.client_id for row in rows),
    )


def _of_day(rows: QuerySet[Session], asked: DaySheetQuery, day: date) -> QuerySet[Session]:
    """The sessions of a local day, by start. The day alone decides; the bounds of the instant,
    wide enough for every zone, let the indexes by start be used."""
    midnight = datetime.combine(day, time(), UTC)
    rows = rows.filter(
        local_date=day,
        starts_at__gte=midnight - FURTHEST_ZONE,
        starts_at__lt=midnight + timedelta(days=1) + FURTHEST_ZONE,
    ).exclude(status__in=LEFT_OUT)
    if asked.facility_id is not None:
        rows = rows.filter(facility_id=asked.facility_id)
    if asked.practitioner_id is not None:
        rows = rows.filter(practitioner_id=asked.practitioner_id)
    return rows.order_by("starts_at", "practitioner_id", "id")


def _keys(rows: list[Session], word: str, letter: str) -> dict[UUID, str]:
    """A short key for each practitioner or facility of the day, in order of appearance."""
    ids = dict.fromkeys(getattr(row, f"{word}_id") for row in rows)
    return {one: f"{letter}{number}" for number, one in enumerate(ids, 1)}


def _line(row: Session, gaps: list[str]) -> SheetLine:
    return SheetLine(
        desk_verdict(HandsOnExtent(row.hands_on), reasons_against(row)),
        SessionStatus(row.status),
        gaps,
        row.confirmed_at is not None,
        cannot_be(gaps),
    )


def _shown(row: Any, line: SheetLine, person: str, place: str) -> dict[str, Any]:
    """One session in as few bytes as say it: what is empty is left out."""
    told = {
        "id": row.pk,
        "at": f"{row.starts_at.astimezone(zone_named(row.zone)):%H:%M}",
        "client": row.client_name,
        "phone": row.client_phone,
        "with": person,
        "place": place,
        "room": row.room_name,
        "hands_on": line.verdict if line.to_come else "",
        "missing": line.gaps,
        "confirmed": line.confirmed,
        "status": "" if line.status is SessionStatus.BOOKED else line.status,
    }
    return {name: value for name, value in told.items() if value}

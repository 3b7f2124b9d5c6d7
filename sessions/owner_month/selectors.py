"""The owner's month: what the lists hold of it, counted by the lists themselves.

Nothing is judged here. A headline is a list of the program with its own filters: it counts what
that list shows, and names its address. The number of statements is the same for every month.
"""

from __future__ import annotations

from calendar import monthrange
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.db.models import Count, DurationField, ExpressionWrapper, F, Q, QuerySet, Sum

from clients.reminders.filters import UnknownReplyFilter
from clients.reminders.selectors import unknown_replies
from practice.core.decisions import Actor
from practice.core.localtime import day_bounds, local_day
from practice.http.fields import instant_text
from practice.http.filters import FilterSet
from practice.law.filters import JurisdictionLimitFilter
from practice.law.selectors import limit_list
from practice.people_and_places.selectors.kept import practitioner_names, room_names
from practice.people_and_places.selectors.practitioners import licences_ending
from sessions.booking.filters import SessionFilter
from sessions.calendar.domain.session_state import SessionStatus
from sessions.calendar.models import Session
from sessions.calendar.selectors.facilities import zone_of
from sessions.calendar.selectors.sessions import session_list
from sessions.incidents.domain.terms import IncidentStatus
from sessions.incidents.filters import IncidentFilter
from sessions.incidents.selectors import incident_list
from sessions.notes.filters import (
    AwaitingCoSignatureFilter,
    OutsideNoteFilter,
    UnsignedNoteFilter,
)
from sessions.notes.selectors.co_signature import awaiting_co_signature
from sessions.notes.selectors.lists import unsigned
from sessions.notes.selectors.notes import notes_outside, notes_standing, notes_visible
from sessions.stretches.domain.prescription_state import OPEN_STATUSES, RecheckStatus
from sessions.stretches.filters import RecheckFilter
from sessions.stretches.selectors.rechecks import recheck_list

API = "/api/v1/"
MINUTE = timedelta(minutes=1)


@dataclass(frozen=True)
class Month:
    """The days of a month, and what is asked of it: by whom and when."""

    actor: Actor
    first: date
    last: date
    today: date
    now: datetime

    @property
    def days(self) -> dict[str, str]:
        """As the filters of lists by day name them."""
        return {"from": self.first.isoformat(), "to": self.last.isoformat()}

    @property
    def instants(self) -> dict[str, str]:
        """As the filters of lists by instant name them, on the practice's clock."""
        zone = zone_of(None)
        begin, end = day_bounds(self.first, zone)[0], day_bounds(self.last, zone)[1]
        return {"since": instant_text(begin), "until": instant_text(end)}


def month_of(actor: Actor, now: datetime, text: str | None) -> Month:
    """The month that is named, ``2026-03``; the present one on the practice's clock."""
    today = local_day(now, zone_of(None))
    year, number = map(int, text.split("-")) if text else (today.year, today.month)
    last = date(year, number, monthrange(year, number)[1])
    return Month(actor=actor, first=last.replace(day=1), last=last, today=today, now=now)


def owner_month(month: Month) -> dict[str, Any]:
    """All headlines of a month."""
    return {
        "month": f"{month.first:%Y-%m}",
        **month.days,
        "licences_expiring": _licences(month),
        "limits_unverified": _headline(
            "jurisdiction-limits", {"verified": "false"}, JurisdictionLimitFilter, limit_list()
        ),
        "red_flags": _red_flags(month),
        "sessions_narrowed": _headline(
            "sessions",
            {"flagged": "true", **month.days},
            SessionFilter,
            session_list(month.actor),
        ),
        "sessions_entered_elsewhere": _headline(
            "sessions",
            {"entered_elsewhere": "true", **month.days},
            SessionFilter,
            session_list(month.actor),
        ),
        "notes_outside_permission": _headline(
            "notes/outside-permission", month.days, OutsideNoteFilter, notes_outside(month.actor)
        ),
        "notes_unsigned": _unsigned(month),
        "notes_awaiting_co_signature": _headline(
            "notes/awaiting-co-signature",
            month.days,
            AwaitingCoSignatureFilter,
            awaiting_co_signature(month.actor, notes_visible(month.actor)),
        ),
        "incidents": _incidents(month),
        "replies_of_nobody": _headline(
            "unknown-replies", {"settled": "open"}, UnknownReplyFilter, unknown_replies()
        ),
        "rechecks": _rechecks(month),
        "practitioner_hours": _practitioner_hours(month),
        "room_hours": _room_hours(month),
    }


def _link(path: str, query: Mapping[str, str]) -> str:
    return f"{API}{path}?{urlencode(query)}" if query else f"{API}{path}"


def _rows(query: Mapping[str, str], filters: type[FilterSet], rows: QuerySet[Any]) -> QuerySet[Any]:
    """What a list shows for a query."""
    found: QuerySet[Any] = filters(dict(query), queryset=rows).qs
    return found


def _headline(
    path: str, query: Mapping[str, str], filters: type[FilterSet], rows: QuerySet[Any]
) -> dict[str, Any]:
    return {"count": _rows(query, filters, rows).count(), "link": _link(path, query)}


def _licences(month: Month) -> list[dict[str, Any]]:
    names = practitioner_names()
    return [
        {
            "practitioner_id": one.practitioner_id,
            "practitioner_name": names.get(one.practitioner_id, ""),
            "credential": one.credential,
            "jurisdiction": one.jurisdiction,
            "expires_on": one.expires_on,
            "link": _link(f"practitioners/{one.practitioner_id}/licences", {}),
        }
        for one in licences_ending(month.first, month.last)
    ]


def _red_flags(month: Month) -> dict[str, Any]:
    """How many were said, by kind, and who lifted how many."""
    query = {"red_flags": "true", **month.days}
    found = _rows(query, SessionFilter, session_list(month.actor))
    entries = [one for row in found.values_list("red_flags", flat=True) for one in row]
    said = Counter(one["flag"] for one in entries if "said_at" in one)
    lifted = Counter(one["lifted_by"] for one in entries if "lifted_at" in one)
    names = practitioner_names()
    return {
        "said": said.total(),
        "lifted": lifted.total(),
        "by_kind": dict(sorted(said.items())),
        "lifted_by": [
            {
                "practitioner_id": who,
                "practitioner_name": names.get(UUID(who), ""),
                "count": count,
            }
            for who, count in sorted(lifted.items())
        ],
        "link": _link("sessions", query),
    }


def _unsigned(month: Month) -> dict[str, Any]:
    """Sessions of the month that are over and whose note nobody has signed, by practitioner."""
    rows = _rows(month.days, UnsignedNoteFilter, unsigned(month.actor, month.now))
    counted = rows.order_by("practitioner_id").values_list("practitioner_id")
    by_practitioner = list(counted.annotate(Count("pk")))
    return {
        "count": sum(count for _, count in by_practitioner),
        "by_practitioner": _by_practitioner("notes/unsigned", month.days, by_practitioner),
        "link": _link("notes/unsigned", month.days),
    }


def _incidents(month: Month) -> dict[str, Any]:
    """Those that happened in the month by kind, and all that are open now."""
    happened = _rows(month.instants, IncidentFilter, incident_list(month.actor))
    kinds = happened.order_by("kind").values_list("kind").annotate(Count("pk"))
    still = {"status": IncidentStatus.OPEN.value}
    by_kind = dict(kinds)
    return {
        "happened": sum(by_kind.values()),
        "by_kind": by_kind,
        "link": _link("incidents", month.instants),
        "open": _headline("incidents", still, IncidentFilter, incident_list(month.actor)),
    }


def _rechecks(month: Month) -> dict[str, Any]:
    """Re-checks that were or are due in the month and what became of them, by practitioner."""
    rows = _rows(month.days, RecheckFilter, recheck_list(month.actor))
    late = Q(status__in=OPEN_STATUSES, due_on__lt=month.today)
    counted = rows.order_by("practitioner_id").values("practitioner_id")
    found = counted.annotate(
        due=Count("pk"),
        maintained=Count("pk", filter=Q(status=RecheckStatus.MAINTAINED)),
        regressed=Count("pk", filter=Q(status=RecheckStatus.REGRESSED)),
        overdue=Count("pk", filter=late),
    )
    names, figures = practitioner_names(), ("due", "maintained", "regressed", "overdue")
    people = [
        {
            **row,
            "practitioner_name": names.get(row["practitioner_id"], ""),
            "link": _link("rechecks", {**_of(row["practitioner_id"]), **month.days}),
        }
        for row in found
    ]
    return {
        **{name: sum(one[name] for one in people) for name in figures},
        "by_practitioner": people,
        "link": _link("rechecks", month.days),
    }


def _completed(month: Month) -> tuple[dict[str, str], QuerySet[Session]]:
    query = {"status": SessionStatus.COMPLETED.value, **month.days}
    return query, _rows(query, SessionFilter, session_list(month.actor))


def _booked() -> Sum:
    length = ExpressionWrapper(F("ends_at") - F("starts_at"), output_field=DurationField())
    return Sum(length)


def _practitioner_hours(month: Month) -> list[dict[str, Any]]:
    """Sessions that took place: minutes as booked, and attended by what was signed."""
    query, rows = _completed(month)
    of_them = notes_standing().filter(pk__in=rows.values("note_id"))
    minutes = of_them.order_by("practitioner_id").values_list("practitioner_id")
    attended = dict(minutes.annotate(Sum("current_attended_minutes")))
    counted = rows.order_by("practitioner_id").values_list("practitioner_id")
    names = practitioner_names()
    return [
        {
            "practitioner_id": who,
            "practitioner_name": names.get(who, ""),
            "sessions": sessions,
            "booked_minutes": length // MINUTE,
            "attended_minutes": attended.get(who, 0),
            "link": _link("sessions", {**_of(who), **query}),
        }
        for who, sessions, length in counted.annotate(Count("pk"), booked=_booked())
    ]


def _room_hours(month: Month) -> list[dict[str, Any]]:
    """The same by room; null: without one."""
    _, rows = _completed(month)
    counted = rows.order_by("room_id").values_list("room_id")
    names = room_names()
    return [
        {
            "room_id": room,
            "room_name": names.get(room, "") if room else "",
            "sessions": sessions,
            "booked_minutes": length // MINUTE,
        }
        for room, sessions, length in counted.annotate(Count("pk"), booked=_booked())
    ]


def _of(practitioner_id: UUID | None) -> dict[str, str]:
    return {"practitioner_id": str(practitioner_id)} if practitioner_id else {}


def _by_practitioner(
    path: str, query: Mapping[str, str], counted: Iterable[tuple[UUID, int]]
) -> list[dict[str, Any]]:
    names = practitioner_names()
    return [
        {
            "practitioner_id": who,
            "practitioner_name": names.get(who, ""),
            "count": count,
            "link": _link(path, {**_of(who), **query}),
        }
        for who, count in counted
    ]

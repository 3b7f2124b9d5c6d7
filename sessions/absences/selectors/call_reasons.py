"""Sessions to come that are left without a practitioner or a place: call until they are moved,
cancelled, or the client was reached."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import Exists, QuerySet, Subquery, Value

from clients.calls.hooks import CallSource
from practice.core.localtime import zone_named
from practice.people_and_places.models.exceptions import Absence, Closure, TimeOff
from sessions.absences.selectors.met import booked_to_come, standing_off
from sessions.calendar.models import Session
from sessions.calendar.selectors.gaps import GapSource


def _left(model: type[TimeOff], whose: str) -> Callable[[datetime], QuerySet[Session]]:
    def rows(now: datetime) -> QuerySet[Session]:
        """Whose time is looked at, and on which days, is read first: few have an absence at all,
        and the sessions of the others are left alone."""
        near = (now - timedelta(days=2)).date()
        off = model._default_manager.filter(lifted_at=None, last_day__gte=near)
        ranges = list(off.values_list(whose, "last_day"))
        if not ranges:
            return Session.objects.none().annotate(left_since=Value(now))
        found = booked_to_come(Session.objects.all(), now).filter(
            local_date__range=(near, max(last_day for _, last_day in ranges)),
            **{f"{whose}__in": {one for one, _ in ranges}},
        )
        since = standing_off(model, whose).order_by("-recorded_at").values("recorded_at")[:1]
        return found.filter(Exists(standing_off(model, whose))).annotate(left_since=Subquery(since))

    return rows


def _told(why: str) -> Callable[[Sequence[Session], datetime], list[str]]:
    def told(rows: Sequence[Session], _now: datetime) -> list[str]:
        texts = []
        for row in rows:
            local = row.starts_at.astimezone(zone_named(row.zone))
            texts.append(
                f"The session on {local:%Y-%m-%d} at {local:%H:%M} cannot be as it is booked: "
                f"{why} Offer another."
            )
        return texts

    return told


PRACTITIONER_ABSENT = CallSource(
    reason="practitioner_absent",
    explained="The practitioner of a session to come is absent then.",
    rows=_left(Absence, "practitioner_id"),
    by="local_date",
    about="id",
    since="left_since",
    told=_told("the practitioner cannot be there."),
)
FACILITY_CLOSED = CallSource(
    reason="facility_closed",
    explained="The facility of a session to come is closed then.",
    rows=_left(Closure, "facility_id"),
    by="local_date",
    about="id",
    since="left_since",
    told=_told("the facility is closed then."),
)


def _found(sessions: Sequence[Session]) -> Mapping[UUID, Sequence[str]]:
    """Those that were booked all the same say so: someone is to be there."""
    rows = Session.objects.filter(pk__in=[one.pk for one in sessions], status="booked")
    absent = rows.filter(Exists(standing_off(Absence, "practitioner_id")))
    closed = rows.filter(Exists(standing_off(Closure, "facility_id")))
    found: dict[UUID, list[str]] = {}
    for code, ones in (("practitioner_absent", absent), ("facility_closed", closed)):
        for pk, overruled in ones.values_list("pk", "overruled"):
            found.setdefault(pk, []).append(ALL_THE_SAME[code] if overruled else code)
    return found


ALL_THE_SAME = {"practitioner_absent": "absent_overruled", "facility_closed": "closed_overruled"}
"""The same of a session that somebody booked all the same."""

ABSENCE_GAPS = GapSource(
    {
        "practitioner_absent": "The practitioner is absent then: move it, or call the client.",
        "facility_closed": "The facility is closed then: move it, or call the client.",
        "absent_overruled": (
            "The practitioner is recorded absent then, and it was booked all the same: see that"
            " they come."
        ),
        "closed_overruled": (
            "The facility is closed then, and it was booked all the same: see that it opens."
        ),
    },
    _found,
    frozenset(ALL_THE_SAME),
)

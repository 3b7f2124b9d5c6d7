"""What a person reads beside the ids of authorizations and visits: names, and why to look."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date
from typing import Any
from uuid import UUID

import msgspec
from django.db.models import Q

from billing.domain.advising import Rest, booked_after_end, drawn_after_end, running_out_reasons
from billing.domain.earning import worth_of
from billing.domain.events import Treated
from billing.models import Authorization, Payer, Visit
from billing.selectors.drawn import billing_settings, today
from billing.selectors.payers import payer_rules
from clients.selectors.names import named
from practice.models import Facility, Practitioner
from sessions.domain.calendar.state import Status
from sessions.models import Session


def shown_authorizations(rows: Iterable[Authorization]) -> list[Authorization]:
    """The rows with ``client_name``, ``payer_name``, ``drawn_after_end`` (days, oldest first),
    ``warnings`` and ``running_out`` (reasons) as attributes; the same queries for any number."""
    found = named(rows)
    if not found:
        return found
    payers, after, ahead = _payers(found), days_after_end(found), booked_after(found)
    day, settings = today(), billing_settings()
    for row in found:
        row.payer_name = payers.get(row.payer_id, "")  # type: ignore[attr-defined]
        row.drawn_after_end = after[row.pk]  # type: ignore[attr-defined]
        row.warnings = [  # type: ignore[attr-defined]
            *drawn_after_end(row.number, row.last_day, after[row.pk]),
            *booked_after_end(row.number, row.last_day, ahead[row.pk]),
        ]
        row.running_out = running_out_reasons(_rest(row), day, settings)  # type: ignore[attr-defined]
    return found


def shown_visits(rows: Iterable[Visit]) -> list[Visit]:
    """The rows with ``client_name`` and ``payer_name``, and in each session the names of
    practitioner and facility; the same queries for any number.

    A visit reckoned before any authorization was on record is worth what the payer of the
    client's last one would make of it now.
    """
    found = named(rows)
    if not found:
        return found
    _worth_since([row for row in found if row.worth is None])
    payers = _payers(found)
    people = dict(_names(Practitioner, found, "practitioner_id"))
    places = dict(_names(Facility, found, "facility_id"))
    for row in found:
        row.payer_name = payers.get(row.payer_id, "")  # type: ignore[attr-defined]
        row.sessions = [
            {
                **one,
                "practitioner_name": people.get(one["practitioner_id"], ""),
                "facility_name": places.get(one["facility_id"], ""),
            }
            for one in row.sessions
        ]
    return found


def _worth_since(rows: list[Visit]) -> None:
    known = [row for row in rows if all("note_id" in one for one in row.sessions)]
    if not known:  # after an erasure the sessions' ids are gone
        return
    recorded = Authorization.objects.filter(client_id__in={row.client_id for row in known})
    last = dict(recorded.order_by("recorded_at", "id").values_list("client_id", "payer_id"))
    rules = payer_rules(set(last.values()))
    for row in known:
        if row.client_id in last:
            sessions = msgspec.convert(row.sessions, tuple[Treated, ...])
            row.worth = msgspec.to_builtins(worth_of(sessions, rules[last[row.client_id]]))


def days_after_end(rows: Iterable[Authorization]) -> defaultdict[UUID, list[date]]:
    """Days of visits that hold units of an authorization though they lie after its last day."""
    last = {row.pk: row.last_day for row in rows}
    held = (
        Visit.objects.filter(Q(units_drawn__gt=0) | Q(waits_for_choice=True))
        .filter(authorization_id__in=last, local_date__gt=min(last.values()))
        .order_by("local_date", "id")
        .values_list("authorization_id", "local_date")
    )
    found: defaultdict[UUID, list[date]] = defaultdict(list)
    for authorization_id, day in held:
        if authorization_id and day > last[authorization_id] and day not in found[authorization_id]:
            found[authorization_id].append(day)
    return found


def booked_after(rows: Iterable[Authorization]) -> defaultdict[UUID, list[date]]:
    """Days after an authorization's last day for which its client has sessions booked."""
    last: dict[UUID, list[Authorization]] = defaultdict(list)
    for row in rows:
        last[row.client_id].append(row)
    booked = (
        Session.objects.filter(client_id__in=last, status=Status.BOOKED)
        .order_by("local_date")
        .values_list("client_id", "local_date")
        .distinct()
    )
    found: defaultdict[UUID, list[date]] = defaultdict(list)
    for client_id, day in booked:
        for row in last[client_id]:
            if day > row.last_day:
                found[row.pk].append(day)
    return found


def _rest(row: Authorization) -> Rest:
    return Rest(
        number=row.number,
        starts_on=row.starts_on,
        last_day=row.last_day,
        visits=row.visits_left,
        units=row.units_left,
        minutes=row.minutes_left,
    )


def _payers(rows: Iterable[Any]) -> dict[UUID | None, str]:
    wanted = {row.payer_id for row in rows} - {None}
    return dict(Payer.objects.filter(pk__in=wanted).values_list("pk", "name"))


def _names(
    table: type[Practitioner | Facility], rows: Iterable[Visit], key: str
) -> Iterable[tuple[str, str]]:
    wanted = {one[key] for row in rows for one in row.sessions}
    for pk, name in table.objects.filter(pk__in=wanted).values_list("pk", "name"):
        yield str(pk), name

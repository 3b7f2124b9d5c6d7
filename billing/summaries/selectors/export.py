"""The authorized visit summary as lines of CSV, one at a time: memory stays flat."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from billing.authorizations.domain.advisories import units_waiting, used_after_end
from billing.authorizations.models import Authorization, Visit
from billing.authorizations.selectors.naming import days_outside
from billing.payers.models import Payer, ServiceCode
from billing.summaries.domain.events import RecordDisclosed
from billing.summaries.domain.table import SummaryHeading, SummaryNames, summary_rows
from billing.summaries.models import Disclosure
from clients.identity.models import Client
from practice.core.reasons import Reason, not_found
from practice.people_and_places.models.facilities import Facility
from practice.people_and_places.models.practitioners import Practitioner
from practice.people_and_places.models.staff import Staff
from practice.policy.models import PRACTICE_ID, Practice

CHUNK_ROWS = 1000
"""Rows fetched at a time."""


class _Line:
    """What csv.writer writes to: it gives each line back instead of keeping it."""

    def write(self, line: str) -> str:
        """Called by csv.writer with a finished line; returns it."""
        return line


def summary_lines(disclosure: Disclosure, *, with_diagnoses: bool) -> Iterator[bytes]:
    """The file of one disclosure, line by line, in UTF-8 (RFC 4180: CRLF, one heading).

    ``with_diagnoses``: whether the one who downloads it may read them.
    """
    heading = _heading(disclosure, with_diagnoses)
    visits = (
        Visit.objects.filter(
            authorization_id=disclosure.authorization_id,
            local_date__range=(heading.starts_on, heading.ends_on),
        )
        .order_by("local_date", "id")
        .values()
    )
    return _encoded(summary_rows(heading, visits.iterator(chunk_size=CHUNK_ROWS), _names()))


def _encoded(rows: Iterable[list[str]]) -> Iterator[bytes]:
    writer = csv.writer(_Line(), lineterminator="\r\n")
    for row in rows:
        yield str(writer.writerow(row)).encode("utf-8")


def export_warnings(disclosure: RecordDisclosed) -> list[Reason]:
    """What a person should settle before a summary is sent: units of its period that wait for
    a choice, use after the authorization's last day."""
    if disclosure.authorization_id is None:
        return []
    row = Authorization.objects.get(pk=disclosure.authorization_id)
    waiting = Visit.objects.filter(
        authorization_id=row.pk,
        awaiting_override=True,
        local_date__range=(disclosure.starts_on, disclosure.ends_on),
    ).values_list("local_date", flat=True)
    days = sorted(waiting)
    return [
        *units_waiting(row.number, days),
        *used_after_end(row.number, row.last_day, days_outside([row])[1][row.pk]),
    ]


def _heading(disclosure: Disclosure, with_diagnoses: bool) -> SummaryHeading:
    if not (disclosure.authorization_id and disclosure.starts_on and disclosure.ends_on):
        raise not_found("visit summary")
    authorization = Authorization.objects.values().get(pk=disclosure.authorization_id)
    practice = Practice.objects.get(pk=PRACTICE_ID)
    client = _client(disclosure.client_id)
    return SummaryHeading(
        practice=practice.name,
        exported_on=disclosure.disclosed_at.astimezone(ZoneInfo(practice.zone)).date(),
        client=client["name"],
        birth_date=client["birth_date"],
        diagnoses=tuple(authorization["diagnoses"]) if with_diagnoses else (),
        payer=Payer.objects.values_list("name", flat=True).get(pk=authorization["payer_id"]),
        authorization=authorization,
        starts_on=disclosure.starts_on,
        ends_on=disclosure.ends_on,
    )


def _names() -> SummaryNames:
    """Names of every facility, person and service code of the practice: four short tables."""
    places = list(Facility.objects.values_list("pk", "name", "zone"))
    practitioners = list(Practitioner.objects.values_list("pk", "name", "npi"))
    people = [*Staff.objects.values_list("pk", "name"), *((pk, n) for pk, n, _ in practitioners)]
    return SummaryNames(
        facilities={str(pk): name for pk, name, _ in places},
        zones={str(pk): ZoneInfo(zone) for pk, _, zone in places},
        codes=dict(ServiceCode.objects.values_list("code", "description")),
        people={str(pk): name for pk, name in people},
        npis={str(pk): npi for pk, _, npi in practitioners},
    )


def _client(client_id: UUID) -> dict[str, Any]:
    """Name and date of birth, by which a payer knows the client; empty after an erasure."""
    found = Client.objects.filter(pk=client_id).values("name", "birth_date").first()
    return {"name": "", "birth_date": None, **(found or {})}

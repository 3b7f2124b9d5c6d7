"""The authorized visit summary as lines of CSV, one at a time: memory stays flat."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from uuid import UUID

from billing.domain.summary import Heading, Names, summary_rows
from billing.models import Authorization, Disclosure, Payer, Visit
from clients.models import Client
from practice.domain.reasons import not_found
from practice.models import Facility, Practitioner, Staff

CHUNK = 1000
"""Rows fetched at a time."""


class _Line:
    """What csv.writer writes to: it gives each line back instead of keeping it."""

    def write(self, line: str) -> str:
        """The line itself."""
        return line


def summary_lines(disclosure: Disclosure) -> Iterator[bytes]:
    """The file of one disclosure, line by line, in UTF-8 (RFC 4180: CRLF, one heading)."""
    heading = _heading(disclosure)
    visits = (
        Visit.objects.filter(
            authorization_id=disclosure.authorization_id,
            local_date__range=(heading.starts_on, heading.ends_on),
        )
        .order_by("local_date", "id")
        .values()
    )
    return _encoded(summary_rows(heading, visits.iterator(chunk_size=CHUNK), _names()))


def _encoded(rows: Iterable[list[str]]) -> Iterator[bytes]:
    writer = csv.writer(_Line(), lineterminator="\r\n")
    for row in rows:
        yield str(writer.writerow(row)).encode("utf-8")


def _heading(disclosure: Disclosure) -> Heading:
    if not (disclosure.authorization_id and disclosure.starts_on and disclosure.ends_on):
        raise not_found("visit summary")
    authorization = Authorization.objects.values().get(pk=disclosure.authorization_id)
    return Heading(
        client=_client_name(disclosure.client_id),
        payer=Payer.objects.values_list("name", flat=True).get(pk=authorization["payer_id"]),
        authorization=authorization,
        starts_on=disclosure.starts_on,
        ends_on=disclosure.ends_on,
    )


def _names() -> Names:
    """Names of every facility and person of the practice: three short tables."""
    practitioners = list(Practitioner.objects.values_list("pk", "name", "npi"))
    people = [*Staff.objects.values_list("pk", "name"), *((pk, n) for pk, n, _ in practitioners)]
    return Names(
        facilities={str(pk): name for pk, name in Facility.objects.values_list("pk", "name")},
        people={str(pk): name for pk, name in people},
        npis={str(pk): npi for pk, _, npi in practitioners},
    )


def _client_name(client_id: UUID) -> str:
    """Her name; empty where her record was erased."""
    return Client.objects.filter(pk=client_id).values_list("name", flat=True).first() or ""

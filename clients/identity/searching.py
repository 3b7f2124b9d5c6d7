"""Finding clients by what is known of them, and possible doubles before one is registered."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Final
from uuid import UUID

from django.db.models import Case, IntegerField, Q, QuerySet, Value, When

from clients.identity.domain.contact import DoubleSign
from clients.identity.domain.doubles import PersonOnRecord, signs_of_double
from clients.identity.domain.matches import NameMatch
from clients.identity.domain.names import (
    NAME,
    NameSettings,
    approximate_codes,
    full_name,
    name_parts,
    parts_alike,
    phone_code,
    search_key,
)
from clients.identity.domain.partial_dates import PartialDate, first_possible
from clients.identity.models import Client, ClientSearchCode
from clients.identity.selectors import client_list
from practice.core.decisions import Actor
from practice.core.reasons import Rejected
from practice.policy.selectors import settings_group

MOST_DOUBLES: Final = 10
"""So many are named at most: the desk asks whether one of them is the caller."""


def client_search(actor: Actor, asked: Mapping[str, Any]) -> QuerySet[Any]:
    """Clients by name, birth date or phone; all that is given counts. ``rank``: how well the
    name fits, from exact to alike in sound. Raises Rejected 400 where nothing is asked."""
    parts = name_parts(asked.get("name") or "")
    born: PartialDate | None = asked.get("birth_date")
    if not (parts or born or asked.get("phone")):
        raise Rejected(
            "invalid",
            "Give a part of a name, a birth date or the end of a phone number.",
            status=400,
            fields={"name": "Give a part of a name, e.g. `lopez`."},
        )
    rows = client_list(actor)
    if parts:
        rows = _named(rows, asked["name"], parts)
    else:
        rows = rows.annotate(rank=Value(NameMatch.EXACT.rank, output_field=IntegerField()))
    if born:
        rows = rows.filter(birth_date__range=(first_possible(*born), born.last))
    if asked.get("phone"):
        rows = rows.filter(id__in=_with_code(Q(code__startswith=phone_code(asked["phone"]))))
    return rows


def _named(rows: QuerySet[Client], name: str, parts: tuple[str, ...]) -> QuerySet[Any]:
    """Those whose name holds every part asked for, from its beginning or alike in sound."""
    whole = search_key(name.replace(",", " "))
    begins = Q(by_family__startswith=whole) | Q(by_given__startswith=whole)
    held = Q()
    for part in parts:
        held &= Q(id__in=_with_code(Q(code__startswith=f"{NAME}{part}")))
    rows = _alike(rows, parts)
    rank = Case(
        When(Q(by_family=whole) | Q(by_given=whole), then=Value(NameMatch.EXACT.rank)),
        When(begins, then=Value(NameMatch.BEGINS.rank)),
        When(held, then=Value(NameMatch.PART.rank)),
        default=Value(NameMatch.SOUND.rank),
        output_field=IntegerField(),
    )
    return rows.annotate(rank=rank)


def _alike(rows: QuerySet[Client], parts: tuple[str, ...]) -> QuerySet[Client]:
    """Those whose name holds every part, from its beginning or alike in sound."""
    settings, near = settings_group("names", NameSettings)[0], _near(parts)
    for part in parts:
        begun = Q(code__startswith=f"{NAME}{part}")
        alike = [f"{NAME}{one}" for one in near if parts_alike(part, one, settings)]
        # One subquery for both: PostgreSQL reads a table through where two are joined by "or".
        rows = rows.filter(id__in=_with_code(begun | Q(code__in=alike)))
    return rows


def _with_code(which: Q) -> QuerySet[Any, Any]:
    return ClientSearchCode.objects.filter(which).values("client_id")


def _near(parts: Iterable[str]) -> list[str]:
    """The parts of names on record that may be one of these: of one sound or a slip away."""
    codes = frozenset().union(*map(approximate_codes, parts))
    near = ClientSearchCode.objects.filter(code__in=codes).values_list("part", flat=True)
    return sorted(set(near))


@dataclass(frozen=True)
class PossibleDouble:
    """Another client who may be the same person, and why."""

    client: Client
    signs: tuple[DoubleSign, ...]


def possible_doubles(
    actor: Actor, new: PersonOnRecord, told_apart_from: Iterable[UUID] = ()
) -> list[PossibleDouble]:
    """Those whom the actor sees and who may be this person, most signs first.

    The same name or phone, or a name that is alike where no birth date tells them apart; not
    those who were found to be other people.
    """
    settings = settings_group("names", NameSettings)[0]
    codes = [phone_code(number) for number in new.phones]
    callers = _with_code(Q(code__in=codes)).values_list("client_id", flat=True) if codes else ()
    parts = name_parts(full_name(new.given_name, new.family_name))
    seen = client_list(actor)
    alike = _alike(seen, parts).values_list("pk", flat=True) if parts else ()
    near = Q(pk__in=[*callers, *alike]) | _of_name(new)
    if new.birth_date is not None:
        near |= Q(birth_date=new.birth_date)
    rows = seen.filter(near).exclude(pk__in=list(told_apart_from))
    found = [PossibleDouble(row, signs) for row in rows if (signs := _signs(new, row, settings))]
    found.sort(key=lambda one: (-len(one.signs), one.client.by_family, one.client.pk))
    return found[:MOST_DOUBLES]


def _of_name(new: PersonOnRecord) -> Q:
    family, given = search_key(new.family_name), search_key(new.given_name)
    return Q(by_family=f"{family} {given}".strip())


def _signs(new: PersonOnRecord, row: Client, settings: NameSettings) -> tuple[DoubleSign, ...]:
    return signs_of_double(new, person_of_row(row), settings)


def person_of_row(row: Client) -> PersonOnRecord:
    """What tells a client on record from others."""
    born: date | None = row.birth_date
    return PersonOnRecord(
        given_name=row.given_name,
        family_name=row.family_name,
        birth_date=born,
        phones=tuple(one["number"] for one in row.phones),
    )

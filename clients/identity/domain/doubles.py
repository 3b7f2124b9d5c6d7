"""Whether two records may be of one person. Warns, never blocks. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

import msgspec

from clients.identity.domain.contact import DoubleSign
from clients.identity.domain.names import (
    NameSettings,
    full_name,
    name_parts,
    names_alike,
    search_key,
)


class PersonOnRecord(msgspec.Struct, frozen=True, kw_only=True):
    """What tells people apart; ``phones`` in E.164."""

    given_name: str
    family_name: str
    birth_date: date | None
    phones: tuple[str, ...]


def signs_of_double(
    new: PersonOnRecord, other: PersonOnRecord, settings: NameSettings
) -> tuple[DoubleSign, ...]:
    """Why two records may be of one person; empty where nothing says so."""
    return tuple(_signs(new, other, settings))


def _signs(
    new: PersonOnRecord, other: PersonOnRecord, settings: NameSettings
) -> Iterable[DoubleSign]:
    same_name = _key(new) == _key(other)
    alike = same_name or names_alike(_parts(new), _parts(other), settings)
    known = new.birth_date is not None and other.birth_date is not None
    if alike and new.birth_date == other.birth_date and known:
        yield DoubleSign.SAME_NAME if same_name else DoubleSign.SAME_BIRTH_DATE_ALIKE_NAME
    elif alike and not known:
        yield DoubleSign.SAME_NAME if same_name else DoubleSign.ALIKE_NAME
    elif alike and days_slipped(new.birth_date, other.birth_date):
        yield (
            DoubleSign.SAME_NAME_BIRTH_DATE_SLIP
            if same_name
            else DoubleSign.ALIKE_NAME_BIRTH_DATE_SLIP
        )
    if set(new.phones) & set(other.phones):
        yield DoubleSign.SAME_PHONE


def days_slipped(one: date | None, other: date | None) -> bool:
    """Whether one date may be the other mistyped: one digit is another, or day and month are
    changed about."""
    if one is None or other is None:
        return False
    a, b = one.isoformat(), other.isoformat()
    if sum(x != y for x, y in zip(a, b, strict=True)) == 1:
        return True
    return (one.year, one.month, one.day) == (other.year, other.day, other.month)


def _key(person: PersonOnRecord) -> tuple[str, str]:
    return search_key(person.family_name), search_key(person.given_name)


def _parts(person: PersonOnRecord) -> tuple[str, ...]:
    return name_parts(full_name(person.given_name, person.family_name))


_TEXTS = {
    DoubleSign.SAME_NAME: "the same name, and no birth date tells them apart",
    DoubleSign.SAME_BIRTH_DATE_ALIKE_NAME: "the same birth date and a name that is alike",
    DoubleSign.SAME_NAME_BIRTH_DATE_SLIP: "the same name and a birth date one slip away",
    DoubleSign.ALIKE_NAME: "a name that is alike, and no birth date tells them apart",
    DoubleSign.ALIKE_NAME_BIRTH_DATE_SLIP: "a name that is alike and a birth date one slip away",
    DoubleSign.SAME_PHONE: "the same phone",
}


def signs_text(signs: Iterable[DoubleSign]) -> str:
    """The signs in words."""
    return "; ".join(_TEXTS[DoubleSign(sign)] for sign in signs)

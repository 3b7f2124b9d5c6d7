"""Registering a client and changing the details."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

import msgspec

from clients.identity.domain import dates
from clients.identity.domain.commands import ChangeDetails
from clients.identity.domain.contact import (
    ContactBy,
    ShownDouble,
    check_contact_hours,
    check_phones,
    check_unsuitable,
    with_main_phone,
)
from clients.identity.domain.entries import KINDS, Entry, check_none_left_out, replaced
from clients.identity.domain.events import (
    ClientDetails,
    ClientDetailsChanged,
    ClientRegistered,
)
from clients.identity.domain.kept_parts import with_kept_parts
from clients.identity.domain.state import Identity
from practice.core.decisions import Context, Decided
from practice.core.localtime import local_day
from practice.core.reasons import Rejected, invalid


def register_client(
    state: Identity,
    details: ClientDetails,
    ctx: Context,
    doubles: tuple[ShownDouble, ...] = (),
) -> Decided:
    """A new client, with the possible doubles that are shown. Raises Rejected 400 for details
    that cannot be."""
    if state.details is not None:
        raise Rejected("already_registered", "This client is registered already.")
    check_details(details, ctx)
    named = {
        field: replaced(
            field,
            [msgspec.structs.asdict(one) for one in getattr(details, field)],
            (),
            ctx.new_id,
            was_read=True,
        )
        for field in KINDS
    }
    details = msgspec.structs.replace(details, **named)
    return [ClientRegistered(details=details, doubles_shown=doubles)]


WHOLE_LISTS: Final = ("contact_also_by", "facility_ids", "told_apart_from")
"""The lists of values in a client's details: each is given as a whole."""


def change_details(state: Identity, command: ChangeDetails, ctx: Context) -> Decided:
    """New details; nothing where nothing is new."""
    known = _known(state)
    before = msgspec.structs.asdict(known)
    asked = with_kept_parts(known, command.changes, was_read=command.was_read)
    if asked.get("contact_by") is ContactBy.NONE:
        asked.setdefault("contact_also_by", ())
    changes = with_main_phone(before["phones"], asked)
    if not command.was_read:
        _check_nothing_unread_goes(known, asked, changes)
    for field in KINDS.keys() & changes.keys():
        changes[field] = replaced(
            field, changes[field], before[field], ctx.new_id, was_read=command.was_read
        )
    details = msgspec.convert({**before, **changes}, ClientDetails)
    changed = [name for name, value in before.items() if getattr(details, name) != value]
    if not changed:
        return []
    check_details(details, ctx)
    return [ClientDetailsChanged(details=details, changed=tuple(changed))]


def _check_nothing_unread_goes(
    known: ClientDetails, asked: Mapping[str, Any], changes: Mapping[str, Any]
) -> None:
    """Raises Rejected 428 where a list that is given as a whole leaves out what stands."""
    if "phones" in asked:
        both = known.known_phones(), changes["phones"]
        check_none_left_out("phones", *([one.number for one in some] for some in both))
    for field in WHOLE_LISTS:
        if field == "contact_also_by" and asked.get("contact_by") is ContactBy.NONE:
            continue  # Nothing at all was said aloud: whatever else was allowed, read or not.
        if field in asked:
            stands, given = getattr(known, field), changes[field]
            check_none_left_out(field, [str(one) for one in stands], [str(one) for one in given])


def change_entries(
    state: Identity,
    field: str,
    change: Callable[[tuple[Entry, ...]], tuple[Entry, ...]],
    ctx: Context,
) -> Decided:
    """One of the lists of entries as ``change`` leaves it; nothing where nothing is new."""
    details = _known(state)
    before = getattr(details, field)
    after = change(before)
    if after == before:
        return []
    details = msgspec.structs.replace(details, **{field: after})
    check_details(details, ctx)
    return [ClientDetailsChanged(details=details, changed=(field,))]


def _known(state: Identity) -> ClientDetails:
    if state.details is None:
        raise Rejected("not_registered", "This client was never registered.")
    return state.details


def check_details(details: ClientDetails, ctx: Context) -> None:
    """Raises Rejected 400 for a name, birth date, contact or place that cannot be."""
    if not (details.given_name or details.family_name):
        raise invalid("family_name", "Give a name: one of given and family name may be empty.")
    today = local_day(ctx.now, details.zone)
    dates.check_birth_date(details.birth_date, today)
    if details.guardian is not None:
        dates.check_not_future("guardian", details.guardian.proof_seen_on, today)
    if not details.facility_ids:
        raise invalid("facility_ids", "Name at least one facility where the client is seen.")
    check_phones(details.phones)
    check_contact_hours(details.contact_hours)
    check_unsuitable(details.unsuitable_times)
    _check_contact(details)


def _check_contact(details: ClientDetails) -> None:
    """Raises Rejected 400 for a way of contact that is not on record or not allowed."""
    if details.contact_by is ContactBy.NONE and details.contact_also_by:
        raise invalid("contact_also_by", "Nothing is allowed beside none; say how in contact_by.")
    if details.may_contact(ContactBy.MAIL) and not details.email:
        raise invalid("email", "Give the address, or another way of contact.")
    phones = details.known_phones()
    if details.may_contact(ContactBy.PHONE) and not phones:
        raise invalid("phone", "Give the number, or another way of contact.")
    if details.may_contact(ContactBy.TEXT) and not any(one.texts for one in phones):
        field = "phones" if phones else "phone"
        raise invalid(field, "Give a number that takes texts, or another way of contact.")

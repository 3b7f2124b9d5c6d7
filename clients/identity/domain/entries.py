"""Emergency contacts and unsuitable times: each has an identifier, so that one is changed without
the others. Pure."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, Final
from uuid import UUID, uuid5

import msgspec

from clients.identity.domain.contact import EmergencyContact, UnsuitableTime
from practice.core.reasons import Rejected, invalid, not_found

Entry = EmergencyContact | UnsuitableTime
KINDS: Final[Mapping[str, type[Entry]]] = {
    "emergency_contacts": EmergencyContact,
    "unsuitable_times": UnsuitableTime,
}
"""The lists of a client's details that are kept entry by entry, by the name of the field."""
MOST: Final[Mapping[str, int]] = {"emergency_contacts": 5, "unsuitable_times": 30}
OF_CONTENT: Final = UUID("6a2c9a55-1c0e-4f0b-8a3c-0d2f8f5b7a10")
"""Namespace of the ids of entries written before they had one: UUID version 5 of their content."""


def with_content_ids(entries: Iterable[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """Entries as JSON has them, each with its id; one without gets that of its content, so that
    it is the same in every event and row that holds it."""
    found: list[dict[str, Any]] = []
    seen: dict[str, int] = {}
    for entry in entries:
        said = {name: value for name, value in entry.items() if name != "id" and value}
        content = json.dumps(said, sort_keys=True, ensure_ascii=False)
        number = seen[content] = seen.get(content, 0) + 1
        named = entry.get("id") or str(uuid5(OF_CONTENT, f"{content}#{number}"))
        found.append({**entry, "id": named})
    return found


def replaced(
    field: str,
    given: Sequence[Mapping[str, Any]],
    before: Sequence[Entry],
    new_id: Callable[[], UUID],
    *,
    was_read: bool,
) -> tuple[Entry, ...]:
    """The list as it is given as a whole; of an entry with an id, what is left out stays.

    An entry without an id is the one of the same content, or a new one. ``was_read``: the
    caller named the version that they read; without it nothing that stands is left out, since
    they may not know of it. Raises Rejected 428 for that, 400 for an id that is not here.
    """
    known = {one.id: one for one in before}
    after: dict[UUID | None, Entry] = {}
    for item in given:
        named = item.get("id")
        if named is not None and (named not in known or named in after):
            raise invalid(field, f"{named} stands for no entry here, or twice; a new one has none.")
        one = _made(field, item, known.get(named) if named else None)
        if named is None:
            free = (other for other in before if other.id not in after)
            same = next((other for other in free if _same_content(other, one)), None)
            one = msgspec.structs.replace(one, id=same.id if same else new_id())
        after[one.id] = one
    if not was_read:
        check_none_left_out(field, [str(one) for one in known], [str(one) for one in after])
    return tuple(after.values())


def check_none_left_out(field: str, before: Sequence[str], after: Sequence[str]) -> None:
    """Raises Rejected 428 where what stands is left out by someone who names no version that they
    read: another device may have added it since."""
    if lost := [one for one in before if one not in after]:
        raise Rejected(
            "version_required",
            f"This takes away what stands in {field}, perhaps unread: send If-Match with the"
            " version you have read.",
            status=428,
            fields={field: "What stands is left out."},
            extra={"left_out": lost},
        )


def with_added(
    field: str, before: Sequence[Entry], given: Mapping[str, Any], new_id: Callable[[], UUID]
) -> tuple[Entry, ...]:
    """One more, at the end. Raises Rejected 409 where it stands already or there are too many."""
    one = _made(field, given)
    if any(_same_content(other, one) for other in before):
        raise Rejected("already_on_record", "This stands there already, just as it is.")
    if len(before) >= MOST[field]:
        raise Rejected("too_many", f"At most {MOST[field]} are kept: change or remove one of them.")
    return (*before, msgspec.structs.replace(one, id=new_id()))


def with_changed(
    field: str, before: Sequence[Entry], entry_id: UUID, given: Mapping[str, Any]
) -> tuple[Entry, ...]:
    """One of them changed in its place. Raises Rejected 404."""
    _stands(before, entry_id)
    return tuple(_made(field, given, one) if one.id == entry_id else one for one in before)


def without(before: Sequence[Entry], entry_id: UUID) -> tuple[Entry, ...]:
    """All but one. Raises Rejected 404."""
    _stands(before, entry_id)
    return tuple(one for one in before if one.id != entry_id)


def _made(field: str, given: Mapping[str, Any], before: Entry | None = None) -> Entry:
    stood = msgspec.structs.asdict(before) if before is not None else {}
    return msgspec.convert({**stood, **given}, KINDS[field])


def _same_content(one: Entry, other: Entry) -> bool:
    return msgspec.structs.replace(one, id=None) == msgspec.structs.replace(other, id=None)


def _stands(before: Sequence[Entry], entry_id: UUID) -> None:
    if entry_id not in {one.id for one in before}:
        raise not_found("entry")

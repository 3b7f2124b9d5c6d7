"""What stays of a phone, a guardian or a referrer that is sent again with less said of it. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import msgspec

from clients.identity.domain.contact import Guardian, Phone, Referrer
from clients.identity.domain.entries import check_none_left_out
from clients.identity.domain.events import ClientDetails
from practice.core.names import same_name

PEOPLE: Final = ("guardian", "referrer")
"""Single people beside the client, each sent as one value."""


def with_kept_parts(
    known: ClientDetails, asked: Mapping[str, Any], *, was_read: bool
) -> dict[str, Any]:
    """The changes with what they leave out of a number or a person that stands: a guardian whose
    phone is new keeps the proof and the last day.

    Of a person with another name nothing is kept. Raises Rejected 428 where that loses something
    and the caller names no version that they read.
    """
    changes = dict(asked)
    if "phones" in changes:
        stand = {one.number: one for one in known.known_phones()}
        changes["phones"] = [_whole(stand.get(one["number"]), one) for one in changes["phones"]]
    for field in PEOPLE:
        stands, given = getattr(known, field), changes.get(field)
        if stands is None or given is None:
            continue
        if same_name(stands.name, given["name"]):
            changes[field] = _whole(stands, given)
        elif not was_read:
            said = [f"{field}.{name}" for name, value in _said(stands).items() if value]
            check_none_left_out(field, said, [f"{field}.{name}" for name in given])
    return changes


def _said(stands: Phone | Guardian | Referrer) -> dict[str, Any]:
    return msgspec.structs.asdict(stands)


def _whole(stands: Phone | Guardian | Referrer | None, given: Mapping[str, Any]) -> dict[str, Any]:
    return {**(_said(stands) if stands is not None else {}), **given}

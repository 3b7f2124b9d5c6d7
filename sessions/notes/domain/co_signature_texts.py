"""Where a co-signature stands, in one sentence that says the worst. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from sessions.notes.domain.co_signatures import NAMED, CoSignatureStatus
from sessions.notes.domain.co_signers import CoSigner

NOBODY_SUPERVISED = "nobody is on record as supervisor of its author that day"


def awaited_text(who: Sequence[CoSigner]) -> str:
    """Of whom a note waits, e.g. ``waits for the co-signature of Paula.``"""
    may = [_name(one) for one in who if not one.bars]
    if may:
        return f"waits for the co-signature of {' or '.join(may)}."
    return f"waits for a co-signature that nobody can give: {'; '.join(nobody_can(who))}."


def nobody_can(who: Sequence[CoSigner]) -> list[str]:
    """Why nobody can co-sign, person by person; empty where somebody can."""
    if any(not one.bars for one in who):
        return []
    return [f"{one.name} {', '.join(one.bars)}" for one in who] or [NOBODY_SUPERVISED]


def _name(one: CoSigner) -> str:
    return f"{one.name} (named by the owner: {one.reason})" if one.reason else one.name


def status_text(
    status: CoSignatureStatus,
    acts: Sequence[Mapping[str, Any]],
    who: Sequence[CoSigner],
    names: Mapping[UUID, str],
    zone: str,
) -> str:
    """The headline of a note's co-signature. ``acts``: who co-signed or returned it, oldest
    first; ``who`` could now; ``zone`` of the facility."""
    if status is CoSignatureStatus.NOT_REQUIRED:
        return "No co-signature is required."
    if status is CoSignatureStatus.WAITING:
        return f"The note {awaited_text(who)}"
    if status is CoSignatureStatus.RETURNED:
        returns = [one for one in acts if one["act"] == CoSignatureStatus.RETURNED]
        last = _act_text(returns[-1], names, zone)
        return f"Returned {last} Its author answers by an addendum."
    co_signed = [one for one in acts if one["act"] == CoSignatureStatus.CO_SIGNED]
    done = f"Co-signed {_act_text(co_signed[-1], names, zone)}{_in_place(acts, co_signed[-1])}"
    if status is CoSignatureStatus.CO_SIGNED:
        return done
    return f"An addendum came since the co-signature: the note {awaited_text(who)} {done}"


def _act_text(act: Mapping[str, Any], names: Mapping[UUID, str], zone: str) -> str:
    name = names.get(UUID(act["practitioner_id"]), "")
    credential = str(act["credential"]).replace("_", " ")
    at = datetime.fromisoformat(act["at"]).astimezone(ZoneInfo(zone))
    words = f": {act['words']}" if act["words"] else "."
    return f"by {name}, {credential}, on {at:%Y-%m-%d} at {at:%H:%M}{words}"


BY_SUPERVISION = "co_signature.supervision"
"""The code of the one reason that the practice sets by itself, for a day's supervision."""


def to_be_signed_text(*, co_signs: bool) -> str:
    """What the practice's word on co-signing does to a note that is not signed yet."""
    if co_signs:
        return "Its note is not signed yet: once signed, it waits for a co-signature."
    return (
        "Its note is not signed yet: once signed, it waits for a co-signature only where the law"
        " or the facility asks for supervision."
    )


def changed_text(status: CoSignatureStatus, reason_codes: Sequence[str], *, co_signs: bool) -> str:
    """The same of a signed note, which stays as it was signed; empty where nothing is to be said.

    ``reason_codes``: why it is to be co-signed.
    """
    if status is CoSignatureStatus.NOT_REQUIRED:
        text = "Its note was signed before: no co-signature is asked of it."
        return text if co_signs else ""
    if status is CoSignatureStatus.CO_SIGNED:
        return ""
    if co_signs:
        return "Its note waits already."
    if set(reason_codes) == {BY_SUPERVISION}:
        return "Its note was signed while the supervisor was to co-sign: it waits on."
    return "Its note waits on: the law or the facility asks for supervision."


def _in_place(acts: Sequence[Mapping[str, Any]], act: Mapping[str, Any]) -> str:
    """That who acted had been named for it by the owner, and why; empty for a supervisor."""
    named = [
        one
        for one in acts
        if one["act"] == NAMED and one["practitioner_id"] == act["practitioner_id"]
    ]
    if not named:
        return ""
    because = "; ".join(named[-1]["because"])
    return f" Named by the owner in place of the supervisor ({because}): {named[-1]['words']}"

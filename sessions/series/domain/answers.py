"""What became of each session that a command of a series was about. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any, Final
from uuid import UUID
from zoneinfo import ZoneInfo

from practice.core.reasons import Reason, Rejected, readable_by
from practice.core.terms import Role


class OccurrenceResult(StrEnum):
    """What became of one session of a series."""

    BOOKED = "booked"
    MOVED = "moved"
    CANCELLED = "cancelled"
    UNCHANGED = "unchanged"
    REFUSED = "refused"
    LEFT = "left"


@dataclass(frozen=True, kw_only=True)
class Occurrence:
    """One session of a series: when it was to be (for a move: to go), and what became of it.

    ``closed``: why the place is closed or the practitioner absent then, which somebody overruled.
    ``refusal`` is what booking refused it with; ``left_because`` why it was not touched.
    """

    result: OccurrenceResult
    starts_at: datetime
    zone: str
    session_id: UUID | None = None
    warnings: tuple[Reason, ...] = ()
    closed: tuple[Reason, ...] = ()
    refusal: Rejected | None = None
    left_because: str = ""


def count_of(found: Sequence[Occurrence], result: OccurrenceResult) -> int:
    """How many of them came to one result."""
    return sum(one.result is result for one in found)


AGAINST_THE_CALENDAR: Final[Mapping[str, frozenset[str]]] = {
    "on_closed_days": frozenset(
        {"closed_day", "public_holiday", "closed_for_a_time", "facility_closed"}
    ),
    "outside_working_hours": frozenset({"outside_working_hours", "practitioner_absent"}),
    "on_public_holidays": frozenset({"public_holiday", "on_public_holiday"}),
}
"""What of a series is to be looked at again, by the codes of what was warned of or overruled."""


def counts_against_calendar(found: Sequence[Occurrence]) -> dict[str, int]:
    """How many of those that stand were booked or moved to when the facility is closed, the
    practitioner does not work, or a public holiday is; one may count in each."""
    made = [one for one in found if one.result in (OccurrenceResult.BOOKED, OccurrenceResult.MOVED)]
    said = [{reason.code for reason in (*one.warnings, *one.closed)} for one in made]
    return {
        name: sum(bool(codes & these) for these in said)
        for name, codes in AGAINST_THE_CALENDAR.items()
    }


def require_any(
    found: Sequence[Occurrence], wanted: OccurrenceResult, role: Role, *, all_or_nothing: bool
) -> None:
    """Raises Rejected 409 where nothing came of a command, or not all that had to; each session
    with its reasons as the role may read them."""
    refused = count_of(found, OccurrenceResult.REFUSED)
    done = count_of(found, wanted)
    if done and not (all_or_nothing and refused):
        return
    if all_or_nothing and refused:
        code = "series_refused"
        detail = f"{refused} of {len(found)} cannot be {wanted.value}, so none is."
    else:
        code = f"none_{wanted.value}"
        detail = f"None of the {len(found)} can be {wanted.value}."
    raise Rejected(
        code,
        f"{detail} Each says why.",
        reasons=tuple(
            dict.fromkeys(reason for one in found if one.refusal for reason in one.refusal.reasons)
        ),
        extra={"occurrences": [refused_member(one, role) for one in found]},
    )


def refused_member(one: Occurrence, role: Role) -> dict[str, Any]:
    """One session in the problem document of a refused command."""
    member: dict[str, Any] = {
        "result": one.result.value,
        "starts_at": one.starts_at.astimezone(ZoneInfo(one.zone)).isoformat(),
        "session_id": str(one.session_id) if one.session_id else None,
        "left_because": one.left_because,
    }
    return {**member, "refusal": refusal_member(one.refusal, role)}


def refusal_member(refusal: Rejected | None, role: Role) -> dict[str, Any] | None:
    """Why booking refused it: what its problem document would say."""
    if refusal is None:
        return None
    return {
        "code": refusal.code,
        "detail": refusal.detail,
        "reasons": [
            {"code": one.code, "text": one.text, "source": one.source}
            for one in readable_by(role, refusal.reasons)
        ],
        "taken": refusal.extra.get("taken", []),
        "conflicts": refusal.extra.get("conflicts", []),
        "bookable_as": refusal.extra.get("bookable_as", []),
    }

"""The demo's clients and their courses. Everyone here is invented."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from typing import Any, Final

import msgspec

WEEKS: Final = 12
"""Weeks of the past that are told; week 12 is the one of the day on which the demo is made."""
FILE: Final = Path(__file__).parents[2] / "fixtures" / "demo" / "clients.json"


class PaperAsked(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A paper that was asked for so many days ago, and what came of it.

    ``sent`` and ``reminded`` are the channel; ``answered`` is the answer, None: none came.
    """

    days_ago: int
    asked: dict[str, Any]
    sent: str = ""
    reminded: str = ""
    answered: dict[str, Any] | None = None


class WaitingSince(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """An entry of the waiting list, made so many days ago."""

    days_ago: int
    asked: dict[str, Any]


class Course(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One client: who they are, what was done, with whom and when the sessions are, how
    recovery goes.

    ``weekday`` 0 is Monday; sessions are weekly from ``first_week`` to ``last_week`` (0 to 12),
    and ``ahead`` more in the weeks to come. ``weeks_since``: from the operation to the first
    session. ``start`` is the shoulder abduction (degrees) of the first session, ``gain`` degrees
    a week. ``missed`` and ``cancelled`` are weeks without a session, ``unsigned`` the week whose
    note is a draft still; ``recheck`` a later week with a session and what is read then.
    ``consent``: how it was obtained, or what became of it. A date may be written ``day-30``.
    """

    given_name: str
    family_name: str
    birth_date: str
    operation: str
    side: str
    weeks_since: int
    facility: str
    practitioner: str
    weekday: int
    hour: int
    start: int
    gain: float
    minutes: int = 60
    room: str = ""
    first_week: int = 0
    last_week: int = WEEKS
    ahead: int = 0
    contact_by: str = "mail"
    gender: str | None = None
    missed: tuple[int, ...] = ()
    cancelled: tuple[int, ...] = ()
    unsigned: int | None = None
    recheck: tuple[int, int] | None = None
    consent: str = "paper"
    reviewed: bool = True
    pays: str = "authorization"
    visits: int = 12
    details: dict[str, Any] = msgspec.field(default_factory=dict)
    paper: PaperAsked | None = None
    waiting: WaitingSince | None = None


COURSES: Final[tuple[Course, ...]] = msgspec.json.decode(FILE.read_bytes(), type=tuple[Course, ...])


def dated(told: Any, today: date) -> Any:
    """What is told, with ``day-30`` in it as the day thirty days before today."""
    if isinstance(told, dict):
        return {name: dated(value, today) for name, value in told.items()}
    if isinstance(told, list):
        return [dated(one, today) for one in told]
    if isinstance(told, str) and told.startswith(("day-", "day+")):
        return (today + timedelta(days=int(told.removeprefix("day")))).isoformat()
    return told

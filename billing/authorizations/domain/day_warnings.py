"""Warnings that list days: what was used, is booked or waits beside an authorization's period.
Pure."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from practice.core.reasons import Reason

SOURCE = "the payer's authorization"
MAX_DAYS_LISTED = 20
"""No sentence lists more days than this."""
WHAT_TO_DO_OUTSIDE = (
    "What was used stays used: give the visit back, amend the period again, or name another "
    "authorization for it."
)


def used_after_end(number: str, last_day: date, days: Sequence[date]) -> list[Reason]:
    """A warning where visits used an authorization on days after its last day.

    They used it while its period still held them, and what is used stays used.
    """
    if not days:
        return []
    text = (
        f"Authorization {number} ends on {last_day}, but visits on {count_of(len(days), 'day')} "
        f"after that used it: {_listed(days)}. {WHAT_TO_DO_OUTSIDE}"
    )
    return [Reason(code="used_after_end", text=text, source=SOURCE)]


def used_before_start(number: str, starts_on: date, days: Sequence[date]) -> list[Reason]:
    """A warning where visits used an authorization on days that an amendment left before its
    first day."""
    if not days:
        return []
    text = (
        f"Authorization {number} begins on {starts_on}, but visits on "
        f"{count_of(len(days), 'day')} before that used it: {_listed(days)}. {WHAT_TO_DO_OUTSIDE}"
    )
    return [Reason(code="used_before_start", text=text, source=SOURCE)]


def booked_after_end(number: str, last_day: date, days: Sequence[date]) -> list[Reason]:
    """A warning where sessions are booked on days after an authorization's last day."""
    if not days:
        return []
    text = (
        f"Authorization {number} ends on {last_day}; after it lie "
        f"{count_of(len(days), 'day')} with sessions booked: {_listed(days)}. "
        "Without another authorization they are not covered."
    )
    return [Reason(code="booked_after_end", text=text, source=SOURCE)]


def units_waiting(number: str, days: Sequence[date]) -> list[Reason]:
    """A warning where units of visits wait for a person's choice: no unit of them is used."""
    if not days:
        return []
    text = (
        f"Units of {count_of(len(days), 'visit')} of authorization {number} wait for a person's "
        f"choice and are not among those used: {_listed(days)}. Choose, and export it again."
    )
    return [Reason(code="units_await_override", text=text, source=SOURCE)]


def notes_waiting(number: str, days: Sequence[date]) -> list[Reason]:
    """A warning where notes of visits await their co-signature: they are not exported."""
    if not days:
        return []
    text = (
        f"Notes of {count_of(len(days), 'visit')} of authorization {number} await their "
        f"co-signature and are left out: {_listed(days)}. Export it again once they are co-signed."
    )
    return [Reason(code="notes_await_co_signature", text=text, source=SOURCE)]


def notes_unsigned(days: Sequence[date]) -> list[Reason]:
    """A warning where the client came and nobody has signed a note: no visit knows of it yet."""
    if not days:
        return []
    text = (
        f"{count_of(len(days), 'session')} of this period to which the client came have no signed"
        f" note and are not in it: {_listed(days)}. If they belong to this authorization, have"
        " them signed and export it again."
    )
    return [Reason(code="notes_unsigned", text=text, source=SOURCE)]


def _listed(days: Sequence[date]) -> str:
    more = f" and {len(days) - MAX_DAYS_LISTED} more" if len(days) > MAX_DAYS_LISTED else ""
    return ", ".join(str(day) for day in days[:MAX_DAYS_LISTED]) + more


def count_of(number: int, what: str) -> str:
    """A number with its noun, e.g. ``2 days``."""
    return f"{number} {what}" if number == 1 else f"{number} {what}s"

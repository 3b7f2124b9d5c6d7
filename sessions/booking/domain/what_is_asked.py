"""Whether what is asked of a session can be: mode, length, time, and purpose. Pure."""

from __future__ import annotations

from datetime import timedelta

from practice.core.decisions import Context
from practice.core.reasons import Rejected, invalid
from practice.core.terms import Mode
from sessions.booking.domain.commands import BookingFacts, Slot
from sessions.calendar.domain.settings import CalendarSettings
from sessions.calendar.domain.terms import PermissionsSnapshot, SessionPurpose


def check_purpose(purpose: SessionPurpose, facts: BookingFacts) -> None:
    """Raises Rejected 409 for an evaluation by an assistant, say: not theirs to do."""
    credential = facts.slot.credential
    if purpose is SessionPurpose.EVALUATION and credential not in facts.evaluating_credentials:
        able = " or ".join(one.value.replace("_", " ") for one in facts.evaluating_credentials)
        raise Rejected(
            "credential_does_not_evaluate",
            f"A {credential.value.replace('_', ' ')} does not evaluate: book a {able}, or a"
            " treatment.",
        )


def check_possible(requested_mode: Mode | None, permissions: PermissionsSnapshot) -> None:
    """Raises Rejected 409 where hands-on is asked for and nothing can be."""
    if requested_mode is not Mode.HANDS_ON or permissions.mode is Mode.HANDS_ON:
        return
    instead = permissions.mode is Mode.SELF_DIRECTED
    raise Rejected(
        "not_hands_on",
        "It cannot be hands-on. It can be booked as self-directed."
        if instead
        else "It cannot be hands-on, nor self-directed as things stand.",
        reasons=permissions.reasons,
        extra={"bookable_as": [Mode.SELF_DIRECTED.value] if instead else []},
    )


def check_requested_mode(requested_mode: Mode | None) -> None:
    """Raises Rejected 400 for a session that would be asked for as not today."""
    if requested_mode is Mode.NOT_TODAY:
        raise invalid("requested_mode", "Plan a session as hands_on or self_directed.")


def check_length(slot: Slot, settings: CalendarSettings) -> None:
    """Raises Rejected 400 for a length outside the practice's limits, or not in whole minutes."""
    if slot.ends_at <= slot.starts_at:
        raise invalid("ends_at", "The end must be after the start.")
    least, most = settings.shortest_session_minutes, settings.longest_session_minutes
    if not timedelta(minutes=least) <= slot.length <= timedelta(minutes=most):
        raise invalid("ends_at", f"A session lasts {least} to {most} minutes here.")
    if slot.length % timedelta(minutes=1):
        raise invalid("ends_at", "A session's length is in whole minutes.")


def check_not_past(slot: Slot, settings: CalendarSettings, ctx: Context) -> None:
    """Raises Rejected 400 for a time that is past by more than a walk-in may be late."""
    if is_past(slot, settings, ctx):
        detail = "That time is past. Enter a session that took place as a late entry."
        raise invalid("starts_at", detail)


def is_past(slot: Slot, settings: CalendarSettings, ctx: Context) -> bool:
    """Whether a time is past by more than a walk-in may be late."""
    return slot.starts_at < ctx.now - timedelta(minutes=settings.start_grace_minutes)


def check_took_place(slot: Slot, settings: CalendarSettings, ctx: Context) -> None:
    """Raises Rejected 400 for a late entry of what has not begun, or that reaches too far back."""
    if slot.starts_at > ctx.now:
        raise invalid("starts_at", "A late entry is for a session that has started; book this one.")
    if slot.starts_at < ctx.now - timedelta(days=settings.late_entry_days):
        days = settings.late_entry_days
        raise invalid("starts_at", f"A late entry reaches back {days} days at most.")


def nothing_to_move() -> Rejected:
    """The refusal of a move to where the session stands already."""
    return Rejected(
        "nothing_to_move",
        "The session stands at that time and place and with that practitioner already. Send what"
        " is to change: starts_at (alone it keeps the length; else with minutes or ends_at),"
        " practitioner_id, facility_id, room_id, or requested_mode to plan it anew.",
    )

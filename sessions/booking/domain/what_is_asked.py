"""Whether what is asked of a session can be: its mode, and its purpose by this credential. Pure."""

from __future__ import annotations

from practice.core.reasons import Rejected, invalid
from practice.core.terms import Mode
from sessions.booking.domain.commands import BookingFacts
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

"""Kinds of session: what a booking as one takes from it, and what does not fit it. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from practice.core.reasons import Reason, Rejected, invalid
from practice.core.terms import Mode
from sessions.calendar.domain.held_time import Buffers
from sessions.calendar.domain.terms import BookedKind, SessionPurpose

SOURCE = "the practice's kinds of session"


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionKind:
    """A kind of session of the practice; ``lengths`` in minutes, in order, none empty."""

    id: UUID
    name: str
    purpose: SessionPurpose
    default_minutes: int
    lengths: tuple[int, ...]
    buffers: Buffers
    hands_on: bool
    private_room: bool
    is_active: bool = True

    def booked(self) -> BookedKind:
        """What a session keeps of it."""
        return BookedKind(
            kind_id=self.id, name=self.name, before=self.buffers.before, after=self.buffers.after
        )


def check_lengths(default_minutes: int, lengths: tuple[int, ...]) -> None:
    """Raises Rejected 400 where the usual length is none of those allowed."""
    if default_minutes not in lengths:
        raise invalid("default_minutes", "The usual length is one of the lengths allowed.")


def check_bookable(kind: SessionKind) -> None:
    """Raises Rejected 409 for a kind that the practice does not offer any more."""
    if not kind.is_active:
        raise Rejected("kind_out_of_use", f"“{kind.name}” is not offered any more.")


def purpose_of(kind: SessionKind, asked: SessionPurpose | None) -> SessionPurpose:
    """The purpose that follows from the kind. Raises Rejected 400 for another."""
    if asked not in (None, kind.purpose):
        raise invalid("purpose", f"“{kind.name}” is for: {kind.purpose.value}. Leave it out.")
    return kind.purpose


def mode_of(kind: SessionKind, asked: Mode | None) -> Mode | None:
    """The mode that follows from the kind; None: as permitted. Raises Rejected 409 where
    hands-on is asked for and the kind is self-directed."""
    if kind.hands_on:
        return asked
    if asked is Mode.HANDS_ON:
        raise Rejected(
            "kind_self_directed",
            f"“{kind.name}” is self-directed. Book another kind for hands-on work.",
        )
    return asked or Mode.SELF_DIRECTED


def check_length(kind: SessionKind, minutes: int) -> None:
    """Raises Rejected 409 for a length that the kind does not come in."""
    if minutes in kind.lengths:
        return
    allowed = " or ".join(map(str, kind.lengths))
    raise Rejected(
        "kind_length",
        f"“{kind.name}” lasts {allowed} minutes, not {minutes}.",
        extra={"lengths": list(kind.lengths)},
    )


def kind_warnings(kind: SessionKind, *, private: bool, mode: Mode) -> list[Reason]:
    """What does not fit the kind and is for a person to say: ``private``: the room can be
    closed off; ``mode``: the most that the session may be."""
    found: list[Reason] = []
    if kind.private_room and not private:
        text = f"“{kind.name}” needs a private room, and none is taken."
        found.append(Reason(code="kind_private_room", text=text, source=SOURCE))
    if kind.hands_on and mode is not Mode.HANDS_ON:
        text = f"“{kind.name}” is hands-on work, and this session cannot be."
        found.append(Reason(code="kind_not_hands_on", text=text, source=SOURCE))
    return found

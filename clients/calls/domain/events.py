"""Calls to a client, and what came of them."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from uuid import UUID

import msgspec

from practice.core.events import Event, event


class CallOutcome(StrEnum):
    """What came of a call."""

    REACHED = "reached"
    LEFT_MESSAGE = "left_message"
    NO_ANSWER = "no_answer"
    CALL_AGAIN = "call_again"


class CallSubject(msgspec.Struct, frozen=True, kw_only=True, order=True):
    """What a call was about: the word of its reason and the id of the thing, e.g. a re-check."""

    reason: str
    id: UUID


@event("client.called")
class ClientCalled(Event, frozen=True, kw_only=True):
    """The practice called the client. ``again_at``: when to call again, None where nothing was
    agreed; ``note`` in the caller's words."""

    call_id: UUID
    outcome: CallOutcome
    about: tuple[CallSubject, ...] = ()
    again_at: datetime | None = None
    note: str = ""

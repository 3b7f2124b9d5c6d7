"""The practice's settings of the waiting list (group ``waiting_list``)."""

from __future__ import annotations

import msgspec


class WaitingListSettings(msgspec.Struct, frozen=True, kw_only=True):
    """How many of those whom a free time suits are looked at, and how many of those who may
    have it are named when a session is called off."""

    most_evaluated: int
    named_at_cancellation: int

"""The practice's settings of calendar feeds (group ``feeds``)."""

from __future__ import annotations

from enum import StrEnum

import msgspec


class ClientShown(StrEnum):
    """What a calendar outside the program says of the client."""

    NOTHING = "nothing"
    INITIALS = "initials"
    NAME = "name"


class FeedSettings(msgspec.Struct, frozen=True, kw_only=True):
    """``days_back`` and ``days_ahead``: whole days before and after now that a feed holds."""

    client_shown: ClientShown
    days_back: int
    days_ahead: int

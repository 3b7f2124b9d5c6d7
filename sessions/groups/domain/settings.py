"""The practice's settings of classes (group ``groups``)."""

from __future__ import annotations

import msgspec


class GroupSettings(msgspec.Struct, frozen=True, kw_only=True):
    """For how many clients a class may have places at most."""

    most_places: int

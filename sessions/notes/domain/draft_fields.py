"""One field of a draft: what every device saved into it, and which of that stands. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

import msgspec

from sessions.notes.domain.device_saves import KnownOrders, SaveOrder

Value = Any
"""What a field holds: text, a whole number, a line as a dict, or None where it is empty."""

NO_DEVICE = ""
"""Whose value it is that no device wrote."""


class DraftSave(msgspec.Struct, frozen=True, kw_only=True):
    """One save: ``changes`` by field name; a field set to None is emptied.

    ``whole``: every field not named is meant to be empty, and what equals the base
    revision was not changed. ``carries``: its words were taken over from a note in error.
    """

    device: str
    sequence: int
    base: int
    changes: Mapping[str, Value]
    whole: bool = False
    carries: bool = False

    @property
    def order(self) -> SaveOrder:
        """Where it stands among the saves of its device."""
        return (self.base, self.sequence)


class SavedValue(msgspec.Struct):
    """A value that a save brought into a field, in the order of its coming (``arrival``).

    ``shown_since``: the revision from which on it could be read, 0 while it is overtaken.
    ``seen``: a later save had read it; it never stands again, and its words are let go.
    """

    device: str
    base: int
    sequence: int
    arrival: int
    mark: str
    value: Value = None
    shown_since: int = 0
    seen: bool = False

    @property
    def order(self) -> SaveOrder:
        """Where it stands among the saves of its device."""
        return (self.base, self.sequence)

    def has_seen(self, other: SavedValue) -> bool:
        """Whether the save of this value had read another one, and so decided on it."""
        if not other.shown_since or self.arrival <= other.arrival:
            return False
        later = self.device != other.device or self.order > other.order
        return later and self.base >= other.shown_since


class PastValue(msgspec.Struct):
    """What a field read as from a revision on."""

    revision: int
    value: Value


class DraftField(msgspec.Struct):
    """One field: all that was saved into it, and what it read as, revision by revision."""

    saved: list[SavedValue] = msgspec.field(default_factory=list)
    history: list[PastValue] = msgspec.field(default_factory=list)

    @property
    def heads(self) -> list[SavedValue]:
        """The values that stand, oldest first: one is the rule, two that differ a collision."""
        return [one for one in self.saved if one.shown_since and not one.seen]

    @property
    def value(self) -> Value:
        """What the field reads as: the oldest head; None where it is empty."""
        heads = self.heads
        return heads[0].value if heads else None

    @property
    def values(self) -> list[Value]:
        """Its different values, more than one where devices disagree."""
        different: list[Value] = []
        for head in self.heads:
            if head.value not in different:
                different.append(head.value)
        return different

    def value_at(self, revision: int) -> Value:
        """What a device read here that had the draft at a revision."""
        return next((k.value for k in reversed(self.history) if k.revision <= revision), None)

    def changed_by_others(self, device: str, since: int) -> bool:
        """Whether another device's value came after a revision."""
        return any(head.shown_since > since and head.device != device for head in self.heads)

    def differs(self, value: Value, save: DraftSave) -> bool:
        """Whether a whole save changes it: from what it had read, or from what its device wrote
        since, unread."""
        unread = any(one.shown_since > save.base for one in self.heads if one.device == save.device)
        return unread or value != self.value_at(save.base)

    def knows(self, save: DraftSave, mark: str) -> bool:
        """Whether a save of this number brought a value of that mark before."""
        return any(
            (one.device, one.order, one.mark) == (save.device, save.order, mark)
            for one in self.saved
        )

    def settle(
        self, orders: Mapping[str, KnownOrders], revision: int, *, by_wholes: bool = True
    ) -> bool:
        """Find what stands, as of a revision; whether that changed. ``by_wholes``: a later whole
        save that left the field out overtakes what comes after it."""
        before = {(one.device, one.mark): one.shown_since for one in self.heads}
        read = self.value
        # What came after a later whole note takes no other's place: that left the field as it was
        # read.
        counting = [one for one in self.saved if not (by_wholes and _left_out(one, orders))]
        for one in self.saved:
            if not one.seen and any(other.has_seen(one) for other in counting):
                one.seen, one.value = True, None
        for one in self.saved:
            if one.seen or one not in counting or _is_overtaken(one, counting, orders):
                one.shown_since = 0
            elif not one.shown_since:
                one.shown_since = before.get((one.device, one.mark), revision)
        if self.value != read:
            self.history.append(PastValue(revision, self.value))
        return before != {(one.device, one.mark): one.shown_since for one in self.heads}


def _left_out(one: SavedValue, orders: Mapping[str, KnownOrders]) -> bool:
    """Whether a later whole note of its device had come before it, without it."""
    known = orders.get(one.device)
    return known is not None and known.whole_since(one.order, one.arrival)


def _is_overtaken(
    one: SavedValue, counting: Iterable[SavedValue], orders: Mapping[str, KnownOrders]
) -> bool:
    """Whether a save of the same device is surely the later one."""
    known = orders.get(one.device)
    if known is None:
        return False
    bore = Counter(other.order for other in counting if other.device == one.device)
    return any(
        known.surely_later(order, one.order, by_all=times > 1) for order, times in bore.items()
    )

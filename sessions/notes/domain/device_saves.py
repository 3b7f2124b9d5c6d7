"""The saves of one device: which is surely the later one, where its counter began anew. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from hashlib import blake2b
from typing import Any

import msgspec

SaveOrder = tuple[int, int]
"""Base revision and running number: the order of one device's saves."""

WHOLE = ""
"""Under which name a whole note is marked: it is the same only if all of it is."""


def mark_of(value: Any) -> str:
    """A short mark by which a value is known again."""
    return blake2b(msgspec.json.encode(value, order="sorted"), digest_size=12).hexdigest()


def content_of(changes: Mapping[str, Any], *, whole: bool) -> dict[str, str]:
    """What a save says, by marks: field by field, a whole note as one."""
    marks = {name: mark_of(value) for name, value in changes.items()}
    return {WHOLE: mark_of(marks)} if whole else marks


class TakenSave(msgspec.Struct):
    """A number that a device used upon a revision, and what was saved under it.

    ``contents``: the marks of each save by field, one where it was only repeated. A save that
    says all that another said, and more, is that save sent again.
    """

    base: int
    sequence: int
    arrival: int
    whole: bool
    contents: list[dict[str, str]]

    @property
    def order(self) -> SaveOrder:
        """Where it stands among the saves of its device."""
        return (self.base, self.sequence)

    def met_again(self, content: dict[str, str]) -> None:
        """Know one more save under the same number."""
        if any(content.items() <= known.items() for known in self.contents):
            return
        apart = [known for known in self.contents if not known.items() <= content.items()]
        self.contents = [*apart, content]


class DeviceSaves(msgspec.Struct):
    """Every save that a draft has met of one device."""

    taken: list[TakenSave] = msgspec.field(default_factory=list)

    def knows(self, order: SaveOrder, content: Mapping[str, str]) -> bool:
        """Whether this very save was met before."""
        return any(known.order == order and content in known.contents for known in self.taken)

    def take(self, order: SaveOrder, arrival: int, content: dict[str, str], *, whole: bool) -> None:
        """Know a save by its content, as ``content_of`` marks it."""
        for known in self.taken:
            if known.order == order:
                known.met_again(content)
                return
        self.taken.append(TakenSave(*order, arrival, whole, [content]))

    def orders(self) -> KnownOrders:
        """What is known of their order."""
        again = frozenset(one.order for one in self.taken if len(one.contents) > 1)
        before: dict[int, frozenset[int]] = {}
        last, met = 0, set[int]()
        for base in sorted({one.base for one in self.taken}):
            before[base] = frozenset({last, *met})
            here = {one.sequence for one in self.taken if one.base == base}
            met |= {number for number in here if number <= last or (base, number) in again}
            last = max(last, *here)
        return KnownOrders(
            again=again,
            before=before,
            wholes=tuple((one.order, one.arrival) for one in self.taken if one.whole),
        )


class KnownOrders(msgspec.Struct, frozen=True):
    """What is known of the order of one device's saves.

    ``again``: numbers that were used again with other content. ``before``: by revision the
    numbers from which a counter may have fallen: upon earlier ones the greatest, and those
    that are seen to come after a start. ``wholes``: saves of the whole note and their coming.
    """

    again: frozenset[SaveOrder]
    before: Mapping[int, frozenset[int]]
    wholes: tuple[tuple[SaveOrder, int], ...]

    def surely_later(self, later: SaveOrder, earlier: SaveOrder, *, by_all: bool = False) -> bool:
        """Whether one save was certainly made after another.

        Not where the counter may have started anew between them: a number used again, or
        numbers upon one revision of which the smaller fell below those upon earlier ones.
        ``by_all``: every save that bore the later number says the same of the other.
        """
        if later <= earlier or earlier in self.again:
            return False
        if later[0] > earlier[0]:
            return True
        fell = any(earlier[1] <= n < later[1] for n in self.before.get(earlier[0], ()))
        return (by_all or later not in self.again) and not fell

    def whole_since(self, order: SaveOrder, arrival: int) -> bool:
        """Whether a later whole note had come before a save: what it left out is overtaken."""
        return any(
            came < arrival and self.surely_later(whole, order) for whole, came in self.wholes
        )

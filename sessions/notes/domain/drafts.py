"""A note while it is written, from any number of devices: how saves come together. Pure.

Every field has its own history, so that two devices that write different fields
never meet. A save names its device, the device's own running number and the
revision of the draft it was written upon. The highest number per device and field
counts; what comes twice or late changes nothing. Where two devices wrote one field
without knowing of each other, both values are kept and shown: nothing decides
between them but a later save that has seen both.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import msgspec

Value = Any
"""What a field holds: text, a whole number, a line as a dict, or None where it is empty."""


class SavedValue(msgspec.Struct):
    """A value of one field, the revision it came with and the device that wrote it."""

    value: Value
    revision: int
    device: str


class DraftField(msgspec.Struct):
    """One field. ``heads``: the values that no other save has seen, one a device, oldest first.

    One head is the rule; two with different values are a collision. ``history`` holds
    what the field read as, revision by revision; ``seen`` the highest running number
    taken from each device.
    """

    heads: list[SavedValue] = msgspec.field(default_factory=list)
    history: list[SavedValue] = msgspec.field(default_factory=list)
    seen: dict[str, int] = msgspec.field(default_factory=dict)

    @property
    def value(self) -> Value:
        """What the field reads as: the oldest head; None where it is empty."""
        return self.heads[0].value if self.heads else None

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
        return any(head.revision > since and head.device != device for head in self.heads)

    def take(self, kept: SavedValue, base: int) -> bool:
        """Put a value in place of those it has seen; True where anything changed."""
        before = [(head.value, head.device) for head in self.heads]
        unseen = [h for h in self.heads if h.revision > base or h.device == kept.device]
        if any(head.device == kept.device for head in unseen):
            self.heads = [kept if head.device == kept.device else head for head in unseen]
        else:
            self.heads = [*unseen, kept]
        if not self.history or self.history[-1].value != self.value:
            self.history.append(SavedValue(self.value, kept.revision, self.heads[0].device))
        return before != [(head.value, head.device) for head in self.heads]


class Draft(msgspec.Struct):
    """A note being written. ``revision`` counts the saves that changed something."""

    revision: int = 0
    fields: dict[str, DraftField] = msgspec.field(default_factory=dict)

    def content(self) -> dict[str, Value]:
        """Every field that holds something, by name."""
        return {
            name: field.value
            for name, field in sorted(self.fields.items())
            if field.value is not None
        }

    def collisions(self) -> dict[str, list[Value]]:
        """The fields on which devices disagree, each with its values, oldest first."""
        return {
            name: field.values
            for name, field in sorted(self.fields.items())
            if len(field.values) > 1
        }


class DraftSave(msgspec.Struct, frozen=True, kw_only=True):
    """One save: ``changes`` by field name; a field set to None is emptied.

    ``whole``: every field not named is meant to be empty, and what equals the base
    revision was not changed.
    """

    device: str
    sequence: int
    base: int
    changes: Mapping[str, Value]
    whole: bool = False


class DraftCollision(msgspec.Struct, frozen=True, kw_only=True):
    """A field that two devices wrote without knowing of each other."""

    field: str
    current: Value
    yours: Value


class DraftSaveResult(msgspec.Struct, frozen=True, kw_only=True):
    """What came of a save: written, left alone as late or repeated, merged, collided.

    ``merged`` names the fields that other devices changed since the save's base.
    """

    revision: int
    written: tuple[str, ...]
    repeated: tuple[str, ...]
    merged: tuple[str, ...]
    collisions: tuple[DraftCollision, ...]


def apply_draft_save(draft: Draft, save: DraftSave) -> DraftSaveResult:
    """Take a save into a draft, in place; the draft keeps whatever else it holds."""
    changes = _changes(draft, save)
    merged = tuple(
        name
        for name, field in sorted(draft.fields.items())
        if name not in changes and field.changed_by_others(save.device, save.base)
    )
    revision = draft.revision + 1
    written: list[str] = []
    repeated: list[str] = []
    collisions: list[DraftCollision] = []
    for name, value in changes.items():
        field = draft.fields.setdefault(name, DraftField())
        if save.sequence <= field.seen.get(save.device, 0):
            repeated.append(name)
            continue
        field.seen[save.device] = save.sequence
        changed = field.take(SavedValue(value, revision, save.device), save.base)
        (written if changed else repeated).append(name)
        theirs = [other for other in field.values if other != value]
        if theirs:
            collisions.append(DraftCollision(field=name, current=theirs[0], yours=value))
    if written:
        draft.revision = revision
    return DraftSaveResult(
        revision=draft.revision,
        written=tuple(written),
        repeated=tuple(repeated),
        merged=merged,
        collisions=tuple(collisions),
    )


def _changes(draft: Draft, save: DraftSave) -> dict[str, Value]:
    if not save.whole:
        return dict(sorted(save.changes.items()))
    names = sorted({*save.changes, *draft.fields})
    changes: dict[str, Value] = {}
    for name in names:
        base = draft.fields.get(name, DraftField()).value_at(save.base)
        if save.changes.get(name) != base:
            changes[name] = save.changes.get(name)
    return changes

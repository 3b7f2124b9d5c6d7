"""A note while it is written, from any number of devices: how saves come together. Pure.

Every field has its own history, so that two devices that write different fields
never meet. A save names its device, the device's own running number and the
revision of the draft it was written upon. The newest save per device and field
counts, by base revision and then by number: within one base the numbers rise, and an
app that starts anew counts from 1 again upon the revision that it read. What comes
twice changes nothing, what comes late is named as overtaken. A number used again with
other content, and a field that two devices wrote without knowing of each other, keep
every value: nothing decides between them but a later save that has seen them all.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import Any

import msgspec

from sessions.calendar.domain.session_state import SessionStatus

WRITABLE = (SessionStatus.BOOKED, SessionStatus.ARRIVED, SessionStatus.COMPLETED)
"""What a session is while its note may be written; after the signature as an addendum."""

Value = Any
"""What a field holds: text, a whole number, a line as a dict, or None where it is empty."""

SaveOrder = tuple[int, int]
"""Base revision and running number: the order of one device's saves."""


NO_DEVICE = ""
"""Whose value it is that no device wrote."""


class SaveOutcome(StrEnum):
    """What became of one field of a save."""

    WRITTEN = "written"
    REPEATED = "repeated"
    OVERTAKEN = "overtaken"


class SavedValue(msgspec.Struct):
    """A value of one field, the revision it came with and the device that wrote it."""

    value: Value
    revision: int
    device: str


class TakenSave(msgspec.Struct):
    """A save of one device that a field has met, and every value that bore its number.

    ``revision`` is the one that it came with; more than one value: the number was used again.
    """

    base: int
    sequence: int
    revision: int
    values: list[Value]

    @property
    def order(self) -> SaveOrder:
        """Where it stands among the saves of its device."""
        return (self.base, self.sequence)


class DraftField(msgspec.Struct):
    """One field. ``heads``: the values that no other save has seen, oldest first.

    One head is the rule; two with different values are a collision. ``history`` holds
    what the field read as, revision by revision; ``taken`` the saves met of each device.
    """

    heads: list[SavedValue] = msgspec.field(default_factory=list)
    history: list[SavedValue] = msgspec.field(default_factory=list)
    taken: dict[str, list[TakenSave]] = msgspec.field(default_factory=dict)

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

    def written_upon(self, device: str, base: int) -> bool:
        """Whether a device's own value, written upon the same revision, stands here."""
        own = any(head.device == device for head in self.heads)
        return own and any(one.base == base for one in self.taken.get(device, ()))

    def take(self, value: Value, save: DraftSave, revision: int, whole: SaveOrder) -> SaveOutcome:
        """Put a value in place of those it has seen.

        ``whole`` is the newest save of the device that said the whole note: what was
        saved before it is overtaken also where that save left the field alone.
        """
        taken = self.taken.setdefault(save.device, [])
        newest = max((*(one.order for one in taken), whole))
        before = next((one for one in taken if one.order == save.order), None)
        if before is None:
            taken.append(TakenSave(save.base, save.sequence, revision, [value]))
            if save.order < newest:
                return SaveOutcome.OVERTAKEN
            return self._put(self._replacing(SavedValue(value, revision, save.device), save.base))
        if value in before.values:
            return SaveOutcome.REPEATED
        unseen = len(before.values) == 1 and newest[0] < before.revision
        found = [*(before.values if unseen else ()), value]
        before.values.append(value)
        own = [head.value for head in self.heads if head.device == save.device]
        more = [SavedValue(one, revision, save.device) for one in found if one not in own]
        return self._put([*self.heads, *more])

    def _replacing(self, kept: SavedValue, base: int) -> list[SavedValue]:
        """The heads with a device's newer value: in place of its own older one and of all it has
        seen; what bore a number that was used again stays until it is seen."""
        taken = self.taken[kept.device]
        doubtful = [value for one in taken if len(one.values) > 1 for value in one.values]
        heads: list[SavedValue] = []
        for head in self.heads:
            own = head.device == kept.device
            if head.revision > base and (not own or head.value in doubtful):
                heads.append(head)
            elif own and kept not in heads:
                heads.append(kept)
        return heads if kept in heads else [*heads, kept]

    def _put(self, heads: list[SavedValue]) -> SaveOutcome:
        if [(h.value, h.device) for h in heads] == [(h.value, h.device) for h in self.heads]:
            return SaveOutcome.REPEATED
        self.heads = heads
        newest = max(heads, key=lambda head: head.revision)
        if not self.history or self.history[-1].value != self.value:
            self.history.append(SavedValue(self.value, newest.revision, heads[0].device))
        return SaveOutcome.WRITTEN


class Draft(msgspec.Struct):
    """A note being written. ``revision`` counts the saves that changed something.

    ``whole``: the newest save of each device that said the whole note.
    """

    revision: int = 0
    whole: dict[str, SaveOrder] = msgspec.field(default_factory=dict)
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

    def put_back(self, values: Mapping[str, Value]) -> None:
        """Let some fields read as they did, as one more revision. What was taken stays known,
        so that a repeat of a save that was dealt with is still a repeat."""
        self.revision += 1
        for name, value in values.items():
            field = self.fields.setdefault(name, DraftField())
            field.heads = [SavedValue(value, self.revision, NO_DEVICE)]
            field.history.append(field.heads[0])


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

    @property
    def order(self) -> SaveOrder:
        """Where it stands among the saves of its device."""
        return (self.base, self.sequence)


class DraftCollision(msgspec.Struct, frozen=True, kw_only=True):
    """A field that two devices wrote without knowing of each other."""

    field: str
    current: Value
    yours: Value


class DraftSaveResult(msgspec.Struct, frozen=True, kw_only=True):
    """What came of a save, by field: written, sent before, overtaken, merged, collided.

    ``overtaken``: a newer save of the same device stands. ``merged`` names the fields
    that other devices changed since the save's base.
    """

    revision: int
    written: tuple[str, ...]
    repeated: tuple[str, ...]
    overtaken: tuple[str, ...]
    merged: tuple[str, ...]
    collisions: tuple[DraftCollision, ...]


BEFORE_ALL: SaveOrder = (-1, 0)


def apply_draft_save(draft: Draft, save: DraftSave) -> DraftSaveResult:
    """Take a save into a draft, in place; the draft keeps whatever else it holds."""
    changes = _changes(draft, save)
    merged = tuple(
        name
        for name, field in sorted(draft.fields.items())
        if name not in changes and field.changed_by_others(save.device, save.base)
    )
    revision = draft.revision + 1
    whole = draft.whole.get(save.device, BEFORE_ALL)
    became: dict[str, SaveOutcome] = {}
    collisions: list[DraftCollision] = []
    for name, value in changes.items():
        field = draft.fields.setdefault(name, DraftField())
        became[name] = field.take(value, save, revision, whole)
        theirs = [other for other in field.values if other != value]
        if theirs and value in field.values:
            collisions.append(DraftCollision(field=name, current=theirs[0], yours=value))
    if save.whole:
        draft.whole[save.device] = max(whole, save.order)
    if SaveOutcome.WRITTEN in became.values():
        draft.revision = revision
    return DraftSaveResult(
        revision=draft.revision,
        written=_which(became, SaveOutcome.WRITTEN),
        repeated=_which(became, SaveOutcome.REPEATED),
        overtaken=_which(became, SaveOutcome.OVERTAKEN),
        merged=merged,
        collisions=tuple(collisions),
    )


def _which(became: Mapping[str, SaveOutcome], wanted: SaveOutcome) -> tuple[str, ...]:
    return tuple(name for name, outcome in became.items() if outcome is wanted)


def _changes(draft: Draft, save: DraftSave) -> dict[str, Value]:
    """A whole save changes what differs from its base and what its device wrote upon that base."""
    if not save.whole:
        return dict(sorted(save.changes.items()))
    changes: dict[str, Value] = {}
    for name in sorted({*save.changes, *draft.fields}):
        field = draft.fields.get(name, DraftField())
        value = save.changes.get(name)
        if value != field.value_at(save.base) or field.written_upon(save.device, save.base):
            changes[name] = value
    return changes

"""A note while it is written, from any number of devices: how saves come together. Pure.

Every field keeps what was written into it, so that two devices that write different fields
never meet; each thing said of a line is a field of its own (``line_fields``). A save names its
device, the device's own running number and the revision of the draft it was written upon. Of one
device the later save counts, by base revision and then by number. What comes twice changes
nothing, what comes late is named as overtaken.

An app that starts anew counts from 1 again. Where that shows (a number used again with
other content, in whatever field, or a number that fell upon a later revision), no one can
tell which of two saves is the later one, and both values stay. So do they where two devices
wrote a field without knowing of each other. Nothing decides but a later save that has seen
them. What stands follows from the saves and what each had read, not from the order of coming.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from enum import StrEnum

import msgspec

from sessions.calendar.domain.session_state import SessionStatus
from sessions.notes.domain.device_saves import DeviceSaves, SaveOrder, content_of, mark_of
from sessions.notes.domain.draft_fields import (
    NO_DEVICE,
    DraftField,
    DraftSave,
    SavedValue,
    Value,
)
from sessions.notes.domain.line_fields import all_of, apart, line_of, of_lines, says, together
from sessions.notes.domain.measured_fields import MeasuredLine, is_measured
from sessions.notes.domain.touched import touched_by, with_marks_read

WRITABLE = (SessionStatus.BOOKED, SessionStatus.ARRIVED, SessionStatus.COMPLETED)
"""What a session is while its note may be written; after the signature as an addendum."""


class SaveOutcome(StrEnum):
    """What became of one field of a save."""

    WRITTEN = "written"
    REPEATED = "repeated"
    OVERTAKEN = "overtaken"


_WEIGHT = (SaveOutcome.REPEATED, SaveOutcome.OVERTAKEN, SaveOutcome.WRITTEN)


class Draft(msgspec.Struct):
    """A note being written. ``revision`` counts the saves that changed something, ``arrivals``
    all; ``devices`` knows the saves met of each device, ``measured`` what came of each line
    that was measured. ``carried``: fields taken over from a note in error, by the revision since
    which they stand so, until a save that had read them names them."""

    revision: int = 0
    arrivals: int = 0
    devices: dict[str, DeviceSaves] = msgspec.field(default_factory=dict)
    fields: dict[str, DraftField] = msgspec.field(default_factory=dict)
    measured: dict[str, MeasuredLine] = msgspec.field(default_factory=dict)
    carried: dict[str, int] = msgspec.field(default_factory=dict)

    def untouched(self) -> list[str]:
        """The fields that were carried over and hold something, and that nobody has touched."""
        content = self.content()
        return [name for name in sorted(self.carried) if name in content]

    def touch(self, save: DraftSave, touched: Iterable[str], written: Iterable[str]) -> None:
        """What a save carries over is marked; what it touches, having read it, is its writer's."""
        if save.carries:
            self.carried.update(dict.fromkeys(written, self.revision))
            return
        for name in touched:
            if self.carried.get(name, save.base + 1) <= save.base:
                del self.carried[name]

    def content(self) -> dict[str, Value]:
        """Every field that holds something, by name."""
        return {
            name: values[0]
            for name, values in together(self.fields).items()
            if values and values[0] is not None
        }

    def collisions(self) -> dict[str, list[Value]]:
        """The fields on which devices disagree, each with its values, oldest first."""
        return {name: values for name, values in together(self.fields).items() if len(values) > 1}

    def knows(self, device: str, order: SaveOrder) -> bool:
        """Whether a device has used a number upon a revision."""
        saves = self.devices.get(device)
        return saves is not None and any(one.order == order for one in saves.taken)

    def put_back(self, values: Mapping[str, Value]) -> None:
        """Let some fields read as they did, as one more revision. What was taken stays known,
        so that a repeat of a save that was dealt with is still a repeat."""
        self.revision += 1
        self.arrivals += 1
        for name, value in all_of(self.fields, values).items():
            field = self.fields.setdefault(name, DraftField())
            at = (self.revision, 0, self.arrivals)
            field.saved.append(SavedValue(NO_DEVICE, *at, mark_of(value), value))
        self.settle(self.revision)

    def settle(self, revision: int) -> bool:
        """Find what stands in every field, as of a revision; whether any of it changed."""
        orders = {device: saves.orders() for device, saves in self.devices.items()}
        changed = [
            field.settle(orders, revision, by_wholes=not is_measured(name))
            for name, field in self.fields.items()
        ]
        return any(changed)


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


def apply_draft_save(draft: Draft, save: DraftSave) -> DraftSaveResult:
    """Take a save into a draft, in place; the draft keeps whatever else it holds."""
    sent = save.changes
    save = msgspec.structs.replace(save, changes=apart(sent, touched=not save.whole))
    content = content_of(save.changes, whole=save.whole)
    touched = touched_by(draft.fields, save, sent)
    known = draft.devices.setdefault(save.device, DeviceSaves())
    changes = _changes(draft, save, again=known.knows(save.order, content))
    merged = tuple(
        name
        for name, field in sorted(draft.fields.items())
        if name not in changes and field.changed_by_others(save.device, save.base)
    )
    draft.arrivals += 1
    known.take(save.order, draft.arrivals, content, whole=save.whole)
    taken: dict[str, SavedValue | None] = {}
    for name, value in changes.items():
        field = draft.fields.setdefault(name, DraftField())
        new = SavedValue(save.device, *save.order, draft.arrivals, mark_of(value), value)
        taken[name] = None if field.knows(save, new.mark) else new
        field.saved += [new] if taken[name] else []
    stood = {name: draft.fields[name].values for name in changes}
    if draft.settle(draft.revision + 1):
        draft.revision += 1
    became = {
        name: _outcome(new, stood[name], draft.fields[name].values) for name, new in taken.items()
    }
    written = _which(became, SaveOutcome.WRITTEN)
    draft.touch(save, touched, written)
    return DraftSaveResult(
        revision=draft.revision,
        written=written,
        repeated=_which(became, SaveOutcome.REPEATED),
        overtaken=_which(became, SaveOutcome.OVERTAKEN),
        merged=of_lines(merged),
        collisions=tuple(_collisions(draft, sent, of_lines(changes))),
    )


def _outcome(new: SavedValue | None, stood: list[Value], stands: list[Value]) -> SaveOutcome:
    """What became of one field of a save, by what stood there before it and what does now."""
    if new is None:
        return SaveOutcome.REPEATED
    if not new.shown_since:
        return SaveOutcome.OVERTAKEN
    return SaveOutcome.REPEATED if stood == stands else SaveOutcome.WRITTEN


def _collisions(
    draft: Draft, sent: Mapping[str, Value], names: Iterable[str]
) -> Iterator[DraftCollision]:
    """The fields of a save in which another value stands beside its own."""
    standing = together(draft.fields)
    for name in names:
        mine = [one for one in standing[name] if says(one, sent.get(name))]
        theirs = [one for one in standing[name] if not says(one, sent.get(name))]
        if theirs and mine:
            yield DraftCollision(field=name, current=theirs[0], yours=mine[0])


def _which(became: Mapping[str, SaveOutcome], wanted: SaveOutcome) -> tuple[str, ...]:
    """The fields of an outcome; a line of which anything was written is written."""
    lines: dict[str, list[SaveOutcome]] = {}
    for name, outcome in became.items():
        lines.setdefault(line_of(name), []).append(outcome)
    return tuple(name for name, found in lines.items() if max(found, key=_WEIGHT.index) is wanted)


def _changes(draft: Draft, save: DraftSave, *, again: bool) -> dict[str, Value]:
    """A whole save changes what differs from its base and what its device wrote since, unread;
    sent again, what it changed the first time. What was measured it leaves in none."""
    if not save.whole:
        return dict(sorted(save.changes.items()))
    changes: dict[str, Value] = {}
    named = {name for name in draft.fields if not is_measured(name)}
    said = with_marks_read(draft.fields, save)
    for name in sorted({*said, *named}):
        field = draft.fields.get(name, DraftField())
        value = said.get(name)
        if field.knows(save, mark_of(value)) if again else field.differs(value, save):
            changes[name] = value
    return changes

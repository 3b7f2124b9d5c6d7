"""What happened to notes, in one sentence each, for the history of a record."""

from __future__ import annotations

from clients.identity.domain.event_texts import event_text
from sessions.notes.domain.events import (
    AddendumAdded,
    NoteCount,
    NoteMarkedOutside,
    NoteSigned,
    UnsentWordsDiscarded,
)


@event_text(NoteSigned)
def _signed(event: NoteSigned) -> str:
    outside = f", {len(event.outside)} lines outside their permission" if event.outside else ""
    return f"The note of {event.local_date} was signed: {event.attended_minutes} minutes{outside}."


@event_text(AddendumAdded)
def _addendum(event: AddendumAdded) -> str:
    late = " with words that came in after the signature" if event.late is not None else ""
    changes = ""
    if event.before is not None and event.after is not None:
        changes = f" and corrected: {'; '.join(_changes(event.before, event.after))}"
    return f"A note was added to{late}{changes}."


def _changes(before: NoteCount, after: NoteCount) -> list[str]:
    """Everything that differs, each with what it was and what it is."""
    was, now = _counted(before), _counted(after)
    return [
        f"{name} {was.get(name, 0)} to {now.get(name, 0)}"
        for name in {**was, **now}
        if was.get(name, 0) != now.get(name, 0)
    ]


def _counted(count: NoteCount) -> dict[str, int | str]:
    parts = {f"{one.part.value.replace('_', ' ')} minutes": one.minutes for one in count.minutes}
    return {
        **parts,
        "minutes not counted": count.not_counted_minutes,
        "start": count.times.started_at.isoformat(),
        "end": count.times.ended_at.isoformat(),
    }


@event_text(UnsentWordsDiscarded)
def _discarded(event: UnsentWordsDiscarded) -> str:
    fields = "1 field" if event.fields == 1 else f"{event.fields} fields"
    return f"Words that came in after the signature ({fields}) were discarded: {event.reason}"


@event_text(NoteMarkedOutside)
def _outside(event: NoteMarkedOutside) -> str:
    count = len(event.lines)
    return f"A fact recorded later shows {count} lines of a signed note outside their permission."

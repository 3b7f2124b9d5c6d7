"""What happened to notes, in one sentence each, for the history of a record."""

from __future__ import annotations

from datetime import UTC, datetime

from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent
from sessions.notes.domain import co_signature_events, events

EVENT_TEXTS = EventTexts("notes", label="Note", watches=(events, co_signature_events))


@EVENT_TEXTS.on(events.NoteSigned)
def signed(event: events.NoteSigned, meta: RecordedEvent) -> str:
    outside = f", {len(event.outside)} lines outside their permission" if event.outside else ""
    place = ", in place of one entered in error" if event.re_enters is not None else ""
    minutes = f"{event.attended_minutes} minutes{outside}{place}"
    return f"The note of {event.local_date} was signed: {minutes}."


@EVENT_TEXTS.on(events.AddendumAdded)
def addendum(event: events.AddendumAdded, meta: RecordedEvent) -> str:
    late = " with words that came in after the signature" if event.late is not None else ""
    changes = ""
    if event.before is not None and event.after is not None:
        changes = f" and corrected: {'; '.join(_changes(event.before, event.after))}"
    return f"A note was added to{late}{changes}."


def _changes(before: events.NoteCount, after: events.NoteCount) -> list[str]:
    """Everything that differs, each with what it was and what it is."""
    was, now = _counted(before), _counted(after)
    return [
        *(
            f"{name} {was.get(name, 0)} to {now.get(name, 0)}"
            for name in {**was, **now}
            if was.get(name, 0) != now.get(name, 0)
        ),
        *_moved("start", before.times.started_at, after.times.started_at),
        *_moved("end", before.times.ended_at, after.times.ended_at),
    ]


def _counted(count: events.NoteCount) -> dict[str, int]:
    parts = {f"{one.part.value.replace('_', ' ')} minutes": one.minutes for one in count.minutes}
    return {**parts, "minutes not counted": count.not_counted_minutes}


def _moved(name: str, was: datetime, now: datetime) -> list[str]:
    """Both on one clock: that on which a person said either, else UTC."""
    if was == now:
        return []
    said = next((one.tzinfo for one in (now, was) if one.utcoffset()), UTC)
    shown = [f"{one.astimezone(said):%Y-%m-%d %H:%M}" for one in (was, now)]
    return [f"{name} {shown[0]} to {shown[1]} ({now.astimezone(said).tzname()})"]


@EVENT_TEXTS.on(events.UnsentWordsDiscarded)
def discarded(event: events.UnsentWordsDiscarded, meta: RecordedEvent) -> str:
    fields = "1 field" if event.fields == 1 else f"{event.fields} fields"
    return f"Words that came in after the signature ({fields}) were discarded: {event.reason}"


@EVENT_TEXTS.on(events.NoteMarkedOutside)
def outside(event: events.NoteMarkedOutside, meta: RecordedEvent) -> str:
    count = len(event.lines)
    return f"A fact recorded later shows {count} lines of a signed note outside their permission."


@EVENT_TEXTS.on(events.NoteEnteredInError)
def entered_in_error(event: events.NoteEnteredInError, meta: RecordedEvent) -> str:
    session = "; its session stands" if event.session_stands else " with its session"
    return f"A signed note was entered in error{session}: {event.reason}"


@EVENT_TEXTS.on(events.DraftDiscarded)
def draft_discarded(event: events.DraftDiscarded, meta: RecordedEvent) -> str:
    fields = "1 field" if event.fields == 1 else f"{event.fields} fields"
    return f"The draft of a session without a note ({fields}) was discarded: {event.reason}"


@EVENT_TEXTS.on(co_signature_events.CoSignatureRequired)
def co_signature_required(
    event: co_signature_events.CoSignatureRequired, meta: RecordedEvent
) -> str:
    why = " ".join(one.text for one in event.reasons)
    return f"The note waits for the supervisor's co-signature: {why}"


@EVENT_TEXTS.on(co_signature_events.NoteCoSigned)
def co_signed(event: co_signature_events.NoteCoSigned, meta: RecordedEvent) -> str:
    words = f": {event.words}" if event.words else "."
    return f"The note was co-signed by a {event.credential.value.replace('_', ' ')}{words}"


@EVENT_TEXTS.on(co_signature_events.NoteReturned)
def returned(event: co_signature_events.NoteReturned, meta: RecordedEvent) -> str:
    return f"The note was returned to its author before a co-signature: {event.reason}"


@EVENT_TEXTS.on(co_signature_events.NoteReturnTakenBack)
def return_taken_back(event: co_signature_events.NoteReturnTakenBack, meta: RecordedEvent) -> str:
    return f"The return of the note to its author was taken back: {event.reason}"


@EVENT_TEXTS.on(co_signature_events.CoSignerNamed)
def co_signer_named(event: co_signature_events.CoSignerNamed, meta: RecordedEvent) -> str:
    who = f"{event.name}, {event.credential.value.replace('_', ' ')},"
    because = "; ".join(event.because)
    return f"{who} was named by the owner to co-sign the note ({because}): {event.reason}"

"""Corrections are merged by part and bounded by the clock; words saved later are never lost."""

from __future__ import annotations

from datetime import timedelta, timezone
from typing import Any
from uuid import UUID

import pytest

from practice.core.reasons import Reason, Rejected
from practice.core.terms import Mode
from sessions.notes.domain.addenda import (
    UnsentWords,
    decide_addendum,
    decide_discard_unsent,
    unsent_fields,
)
from sessions.notes.domain.commands import AddToNote, Correction
from sessions.notes.domain.drafts import Draft, DraftSave, apply_draft_save
from sessions.notes.domain.event_texts import addendum, discarded
from sessions.notes.domain.events import AddendumAdded, TimeSource, UnsentWordsDiscarded
from sessions.notes.domain.outside import LinePermission
from tests.dsl import NOW, context, recorded
from tests.sessions.booking.examples import PRACTITIONER_ID, SESSION
from tests.sessions.notes.examples import SETTINGS, at, notes_of, parts, signed_note

LINE = UUID(int=701)


def add(
    *before: Any,
    text: str = "Corrected.",
    confirmed: bool = False,
    unsent: UnsentWords | None = None,
    minutes: dict[str, int] | None = None,
    **correction: Any,
) -> AddendumAdded:
    """An addendum to the signed note, with what it corrects."""
    command = AddToNote(
        text=text,
        correction=Correction(minutes=parts(**(minutes or {})), **correction),
        confirmed=confirmed,
    )
    state = notes_of(*(before or (signed_note(),)))
    (event,) = decide_addendum(
        state, SESSION, PRACTITIONER_ID, command, SETTINGS, context(), unsent
    )
    assert isinstance(event, AddendumAdded)
    return event


def refusal(*before: Any, **asked: Any) -> Rejected:
    with pytest.raises(Rejected) as found:
        add(*before, **asked)
    return found.value


def test_an_addendum_needs_a_signed_note_and_a_word() -> None:
    command = AddToNote(text="late")
    with pytest.raises(Rejected, match="no such signed note"):
        decide_addendum(notes_of(), SESSION, PRACTITIONER_ID, command, SETTINGS, context())
    event = add(text=" left arm ")
    assert (event.text, event.before, event.after, event.late) == ("left arm", None, None, None)
    assert event.corrected_minutes is None
    assert list(refusal(text=" ").fields) == ["text"]


def test_a_correction_of_one_part_leaves_the_others_and_shows_before_and_after() -> None:
    """Ruling 58: one part corrected dropped the others."""
    event = add(minutes={"stretching": 35})
    assert event.corrected_minutes == parts(stretching=35, cardio=10)
    assert event.before is not None
    assert event.after is not None
    assert (event.before.attended_minutes, event.after.attended_minutes) == (60, 55)
    note = notes_of(signed_note(), event).of(SESSION)
    assert (note.minutes, note.count.attended_minutes) == (parts(stretching=35, cardio=10), 55)
    assert addendum(event, recorded(event)) == (
        "A note was added to and corrected: stretching minutes 40 to 35."
    )


def test_a_corrected_time_is_told_on_one_clock() -> None:
    """A device says it with its offset, what stood is in UTC: a reader must see the difference."""
    was = signed_note().started_at
    said = (was - timedelta(minutes=5)).astimezone(timezone(timedelta(hours=-8)))
    event = add(started_at=said)
    shown = was.astimezone(said.tzinfo)
    assert addendum(event, recorded(event)) == (
        f"A note was added to and corrected: start {shown:%Y-%m-%d %H:%M} to"
        f" {said:%Y-%m-%d %H:%M} (UTC-08:00)."
    )


def test_corrections_build_on_each_other() -> None:
    first = add(minutes={"stretching": 35})
    second = add(signed_note(), first, minutes={"cardio": 15})
    assert second.before == first.after
    assert second.corrected_minutes == parts(stretching=35, cardio=15)


def test_a_part_taken_out_leaves_the_others_and_never_an_empty_visit() -> None:
    """Ruling 58: ``{"stretching": 0}`` emptied a visit."""
    assert add(minutes={"stretching": 0}).corrected_minutes == parts(cardio=10)
    assert "minutes" in refusal(minutes={"stretching": 0, "cardio": 0}).fields
    only = signed_note(minutes=parts(stretching=50))
    assert "minutes" in refusal(only, minutes={"stretching": 0}).fields


@pytest.mark.parametrize(
    ("minutes", "fits"), [({"stretching": 40}, True), ({"stretching": 41}, False)]
)
def test_a_correction_is_bounded_by_the_clock(minutes: dict[str, int], fits: bool) -> None:
    """Ruling 58: 90 minutes of a session of 60 are refused, naming both ends."""
    note = signed_note(minutes=parts(stretching=30, cardio=10))
    if fits:
        assert add(note, minutes=minutes).corrected_minutes == parts(stretching=40, cardio=10)
        return
    text = refusal(note, minutes=minutes).fields["minutes"]
    assert "61 minutes" in text
    assert "07:00 (from booking)" in text
    assert "08:00 (from booking)" in text


def test_minutes_go_from_not_counted_to_a_part_together() -> None:
    event = add(minutes={"stretching": 45}, not_counted_minutes=5)
    assert event.after is not None
    assert (event.after.not_counted_minutes, event.after.attended_minutes) == (5, 60)
    assert "minutes" in refusal(minutes={"stretching": 45}).fields


def test_more_than_booked_needs_a_confirmation_and_the_end() -> None:
    longer: dict[str, Any] = {"minutes": {"stretching": 55}, "ended_at": at(75)}
    found = refusal(**longer)
    assert (found.code, found.extra["booked_minutes"]) == ("confirmation_needed", 60)
    event = add(confirmed=True, **longer)
    assert event.after is not None
    assert event.after.times.ended_from is TimeSource.PRACTITIONER
    assert notes_of(signed_note(), event).of(SESSION).count.times.ended_at == at(75)
    assert "minutes" in refusal(minutes={"stretching": 55}, confirmed=True).fields


@pytest.mark.parametrize(
    ("times", "field"),
    [
        ({"started_at": at(60)}, "ended_at"),
        ({"ended_at": NOW + timedelta(minutes=1)}, "ended_at"),
        ({"started_at": at(-481)}, "started_at"),
    ],
)
def test_corrected_times_that_cannot_be_are_refused(times: Any, field: str) -> None:
    assert list(refusal(**times).fields) == [field]
    assert add(started_at=at(-480)).corrected_minutes is None
    assert add(ended_at=NOW).after is not None


def test_a_correction_that_corrects_nothing_is_said_to_be_none() -> None:
    assert list(refusal(minutes={"stretching": 40}).fields) == ["corrected_minutes"]
    assert "minutes.stretching" in refusal(minutes={"stretching": 481}).fields


# --- words saved after the signature ---------------------------------------------------


def words(**changes: Any) -> UnsentWords:
    values: dict[str, Any] = {"fields": {"split_reason": "Tired."}}
    return UnsentWords(**{**values, **changes})


def plain_line(**changes: Any) -> dict[str, Any]:
    return {
        "line_id": str(LINE),
        "stretch": "neck",
        "technique": "passive",
        "side": "left",
        "mode": "hands_on",
        **changes,
    }


def test_only_what_was_changed_after_the_signature_is_unsent() -> None:
    signed = {"plan": "a", "subjective": "b"}
    saved = {"plan": "a", "objective": "c"}
    assert unsent_fields(signed, saved) == {"objective": "c", "subjective": None}


def test_words_that_are_sent_stand_in_the_addendum() -> None:
    event = add(text="", unsent=words(fields={"split_reason": "Tired.", "plan": None}))
    assert event.late is not None
    assert event.late.texts == {"plan": "", "split_reason": "Tired."}
    assert "with words that came in after the signature" in addendum(event, recorded(event))


def test_minutes_that_are_sent_are_corrections_unless_the_addendum_says_otherwise() -> None:
    saved = {"minutes.stretching": 30, "minutes.cardio": None, "not_counted_minutes": 20}
    event = add(text="", unsent=words(fields=saved))
    assert event.corrected_minutes == parts(stretching=30)
    assert event.after is not None
    assert event.after.not_counted_minutes == 20
    said = add(text="", unsent=words(fields=saved), minutes={"stretching": 33})
    assert said.corrected_minutes == parts(stretching=33)
    same = add(text="", unsent=words(fields={"minutes.stretching": 40}))
    assert same.after is None
    too_many = {"minutes.stretching": 240}
    assert "minutes" in refusal(text="", unsent=words(fields=too_many)).fields


def test_lines_that_are_sent_are_judged_and_kept_with_the_note() -> None:
    """A line saved after the signature does not evade its permission."""
    reason = Reason(code="consent_none", text="No consent.", source="practice policy")
    narrow = {LINE: LinePermission(Mode.SELF_DIRECTED, (reason,))}
    fields = {f"line.{LINE}": plain_line()}
    found = refusal(text="", unsent=words(fields=fields, permitted=narrow))
    assert found.code == "explanation_needed"
    explained = words(fields=fields, permitted=narrow, explanations={LINE: "Asked for it."})
    event = add(text="", unsent=explained)
    assert event.late is not None
    (outside,) = event.late.outside
    assert (outside.allowed, outside.explanation) == (Mode.SELF_DIRECTED, "Asked for it.")
    note = notes_of(signed_note(), event).of(SESSION)
    assert [one.line_id for one in note.lines] == [LINE]
    assert note.explained == frozenset({LINE})


def test_a_line_that_is_taken_out_after_the_signature_is_named() -> None:
    event = add(text="", unsent=words(fields={f"line.{LINE}": None, f"explanation.{LINE}": "x"}))
    assert event.late is not None
    assert (event.late.removed_lines, event.late.explanations) == ((LINE,), {LINE: "x"})


def test_two_values_of_one_unsent_field_are_settled_before_they_are_sent() -> None:
    found = refusal(text="", unsent=words(collisions={"plan": ["a", "b"]}))
    assert (found.code, found.status) == ("unresolved_collisions", 409)


def test_words_are_discarded_with_a_reason_that_the_history_keeps() -> None:
    (event,) = decide_discard_unsent(
        notes_of(signed_note()), SESSION, PRACTITIONER_ID, 2, " Saved twice. "
    )
    assert isinstance(event, UnsentWordsDiscarded)
    assert discarded(event, recorded(event)) == (
        "Words that came in after the signature (2 fields) were discarded: Saved twice."
    )
    with pytest.raises(Rejected, match="Say why"):
        decide_discard_unsent(notes_of(signed_note()), SESSION, PRACTITIONER_ID, 2, " ")


def test_what_was_dealt_with_reads_as_signed_and_a_repeat_of_it_stays_a_repeat() -> None:
    draft = Draft()
    for number, word in ((1, "signed"), (2, "late")):
        save = DraftSave(device="phone", sequence=number, base=0, changes={"plan": word})
        apply_draft_save(draft, save)
    draft.put_back({"plan": "signed"})
    assert (draft.revision, draft.content()) == (3, {"plan": "signed"})
    assert apply_draft_save(draft, save).repeated == ("plan",)
    assert draft.content() == {"plan": "signed"}
    newer = DraftSave(device="tablet", sequence=1, base=3, changes={"plan": "newer"})
    assert apply_draft_save(draft, newer).collisions == ()
    assert draft.content() == {"plan": "newer"}

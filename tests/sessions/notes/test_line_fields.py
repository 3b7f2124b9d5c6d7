"""A field of a line that a save leaves out keeps what was said, in whatever order saves come, and
two devices that say different things of one line meet nowhere."""

from __future__ import annotations

from itertools import permutations
from typing import Any

import msgspec
import pytest

from sessions.notes.domain.content import incomplete_lines, note_content
from sessions.notes.domain.draft_fields import DraftField, DraftSave, PastValue, SavedValue
from sessions.notes.domain.draft_forms import read_draft, write_draft
from sessions.notes.domain.drafts import Draft, DraftSaveResult, apply_draft_save

LINE = "line.00000000-0000-4000-8000-000000000001"
WHOLE = {
    "line_id": LINE.removeprefix("line."),
    "stretch": "abduction_pattern",
    "technique": "active_isolated",
    "side": "left",
    "mode": "hands_on",
    "repetitions": 10,
    "hold_seconds": 2,
}


def said(**things: Any) -> dict[str, Any]:
    return {"line_id": WHOLE["line_id"], **things}


def send(draft: Draft, device: str, number: int, base: int, value: Any, **more: Any) -> Any:
    done: DraftSaveResult = apply_draft_save(draft, save(device, number, base, value, **more))
    return done


def save(device: str, number: int, base: int, value: Any, **more: Any) -> DraftSave:
    return DraftSave(device=device, sequence=number, base=base, changes={LINE: value}, **more)


def draft_with(value: Any) -> Draft:
    draft = Draft()
    send(draft, "phone", 1, 0, value)
    return draft


def test_what_is_left_out_of_a_line_keeps_what_was_said_and_null_empties_it() -> None:
    draft = draft_with({**WHOLE, "brought_from": "plan"})
    send(draft, "phone", 2, 1, said(response="more"))
    assert draft.content()[LINE] == {**WHOLE, "response": "more"}, "touched, it is nobody's plan"
    send(draft, "phone", 3, 2, said(hold_seconds=None))
    left = {key: one for key, one in WHOLE.items() if key != "hold_seconds"}
    assert draft.content()[LINE] == {**left, "response": "more"}


def test_the_saves_of_a_device_say_the_same_in_whatever_order_they_come() -> None:
    log = [
        save("phone", 1, 0, WHOLE),
        save("phone", 2, 0, said(response="more", repetitions=12)),
        save("phone", 3, 0, said(hold_seconds=None, minute=4)),
    ]
    for order in permutations([*log, log[0]]):
        draft = Draft()
        for one in order:
            apply_draft_save(draft, one)
        found = dict(draft.content()[LINE])
        assert found == {
            **{key: one for key, one in WHOLE.items() if key != "hold_seconds"},
            "response": "more",
            "repetitions": 12,
            "minute": 4,
        }
        assert draft.collisions() == {}


def test_two_devices_that_say_different_things_of_a_line_are_both_kept() -> None:
    draft = draft_with(WHOLE)
    send(draft, "phone", 2, 1, said(response="more"))
    done = send(draft, "tablet", 1, 1, said(hold_seconds=5))
    assert (done.collisions, done.written, done.merged) == ((), (LINE,), (LINE,))
    assert draft.content()[LINE] == {**WHOLE, "response": "more", "hold_seconds": 5}


def test_the_same_thing_of_a_line_is_shown_in_both_readings_with_all_else() -> None:
    draft = draft_with(WHOLE)
    send(draft, "phone", 2, 1, said(hold_seconds=3, response="more"))
    done = send(draft, "tablet", 1, 1, said(hold_seconds=5, minute=4))
    both = [{**WHOLE, "response": "more", "minute": 4, "hold_seconds": one} for one in (3, 5)]
    assert draft.collisions() == {LINE: both}
    (met,) = done.collisions
    assert (met.field, met.current, met.yours) == (LINE, *both)
    assert draft.content()[LINE] == both[0]
    send(draft, "tablet", 2, draft.revision, said(hold_seconds=5))
    assert draft.collisions() == {}
    assert draft.content()[LINE] == both[1]


def test_two_disputed_things_are_two_readings_not_four() -> None:
    draft = draft_with(WHOLE)
    send(draft, "phone", 2, 1, said(hold_seconds=3, repetitions=8))
    send(draft, "tablet", 1, 1, said(hold_seconds=5, repetitions=9))
    found = [(one["hold_seconds"], one["repetitions"]) for one in draft.collisions()[LINE]]
    assert found == [(3, 8), (5, 9)]


def test_a_line_taken_out_while_another_device_writes_it_is_shown_whole_beside_it() -> None:
    draft = draft_with(WHOLE)
    send(draft, "phone", 2, 1, None)
    done = send(draft, "tablet", 1, 1, said(response="more"))
    assert draft.collisions() == {LINE: [None, {**WHOLE, "response": "more"}]}
    assert [(one.current, one.yours) for one in done.collisions] == [
        (None, {**WHOLE, "response": "more"})
    ]
    send(draft, "phone", 3, draft.revision, None)
    assert (draft.content(), draft.collisions()) == ({}, {})


def test_taken_out_nothing_said_of_it_is_disputed_any_more() -> None:
    draft = draft_with(WHOLE)
    send(draft, "phone", 2, 1, said(hold_seconds=3))
    send(draft, "tablet", 1, 1, said(hold_seconds=5))
    send(draft, "tablet", 2, draft.revision, None)
    assert (draft.content(), draft.collisions()) == ({}, {})


def test_a_save_of_the_whole_note_says_all_of_its_lines() -> None:
    draft = draft_with({**WHOLE, "response": "more"})
    assert send(draft, "phone", 2, 1, {**WHOLE, "response": "more"}, whole=True).written == ()
    done = send(draft, "phone", 3, 1, WHOLE, whole=True)
    assert (done.written, draft.content()[LINE]) == ((LINE,), WHOLE)


def test_a_late_save_is_overtaken_only_in_what_a_later_one_said() -> None:
    draft = draft_with(WHOLE)
    send(draft, "phone", 3, 1, said(hold_seconds=5))
    assert send(draft, "phone", 2, 1, said(hold_seconds=3)).overtaken == (LINE,)
    assert send(draft, "phone", 2, 1, said(hold_seconds=3)).repeated == (LINE,)
    draft = draft_with(WHOLE)
    send(draft, "phone", 3, 1, said(hold_seconds=5))
    done = send(draft, "phone", 2, 1, said(hold_seconds=3, minute=4))
    assert (done.written, done.overtaken, done.repeated) == ((LINE,), (), ())
    assert draft.content()[LINE] == {**WHOLE, "hold_seconds": 5, "minute": 4}


def test_put_back_a_line_reads_as_it_did_and_nothing_that_was_said_comes_back_with_it() -> None:
    draft = draft_with(WHOLE)
    send(draft, "phone", 2, 1, said(response="more"))
    draft.put_back({LINE: WHOLE})
    assert draft.content()[LINE] == WHOLE
    draft.put_back({LINE: None})
    send(draft, "phone", 3, draft.revision, said(stretch="chest_arms_out"))
    assert draft.content()[LINE] == {"line_id": WHOLE["line_id"], "stretch": "chest_arms_out"}


@pytest.mark.parametrize("missing", ["stretch", "technique", "side", "mode"])
def test_a_line_without_what_it_needs_is_named_with_what_it_has(missing: str) -> None:
    there = {key: one for key, one in WHOLE.items() if key != missing}
    (found,) = incomplete_lines({LINE: there}).items()
    assert found[0] == LINE.replace("line.", "lines.")
    assert f"lacks {missing}:" in found[1]
    assert "repetitions 10" in found[1]
    assert note_content({LINE: there}).lines == ()
    assert incomplete_lines({LINE: WHOLE, "plan": "Friday"}) == {}


def test_a_draft_that_was_kept_with_whole_lines_reads_and_merges_as_one_of_today() -> None:
    other = {**WHOLE, "hold_seconds": 5}
    field = DraftField(
        saved=[
            SavedValue("phone", 0, 1, 1, "a", WHOLE, shown_since=1),
            SavedValue("tablet", 0, 1, 2, "b", other, shown_since=2),
        ],
        history=[PastValue(1, WHOLE)],
    )
    plain = msgspec.json.encode(Draft(revision=2, arrivals=2, fields={LINE: field}))
    draft = read_draft(plain)
    assert draft.collisions() == {LINE: [WHOLE, other]}
    assert read_draft(write_draft(draft)) == draft
    send(draft, "phone", 2, 2, said(hold_seconds=5))
    assert (draft.content(), draft.collisions()) == ({LINE: other}, {})
    gone = DraftField(saved=[SavedValue("phone", 0, 1, 1, "a", None, shown_since=2)])
    gone.history = [PastValue(1, WHOLE), PastValue(2, None)]
    plain = msgspec.json.encode(Draft(revision=2, arrivals=2, fields={LINE: gone}))
    assert read_draft(plain).content() == {}


def brought(**more: Any) -> dict[str, Any]:
    """The line as it was brought in, with its place and an empty response."""
    return {**WHOLE, "response": "", "position": 3, "brought_from": "last_note", **more}


def test_a_whole_save_leaves_the_mark_of_a_line_that_it_says_as_it_was_read() -> None:
    draft = draft_with(brought())
    for number, moved in enumerate((WHOLE, {**WHOLE, "response": ""}, {**WHOLE, "position": 9}), 2):
        send(draft, "phone", number, draft.revision, moved, whole=True)
        assert draft.content()[LINE]["brought_from"] == "last_note"
    send(draft, "tablet", 1, draft.revision, {**WHOLE, "repetitions": 8}, whole=True)
    assert draft.content()[LINE] == {**WHOLE, "repetitions": 8}, "said otherwise, it is touched"


def test_the_mark_is_the_same_in_whatever_order_two_saves_of_a_device_come() -> None:
    named = save("phone", 2, 1, said(), whole=False)
    whole = save("phone", 3, 1, {**WHOLE, "position": 3}, whole=True)
    for order in permutations([named, whole]):
        draft = draft_with(brought())
        for one in order:
            apply_draft_save(draft, one)
        assert draft.content()[LINE]["brought_from"] == "last_note"
    draft = draft_with(brought())
    send(draft, "phone", 2, 1, {**WHOLE, "position": 3}, whole=True)
    send(draft, "phone", 3, draft.revision, said())
    assert "brought_from" not in draft.content()[LINE], "named, it is confirmed in so many words"

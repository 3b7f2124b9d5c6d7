"""Saves from several devices: merged where they do not meet, both values kept where they do."""

from __future__ import annotations

import random
from collections import Counter
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sessions.notes.domain.draft_fields import DraftSave
from sessions.notes.domain.drafts import Draft, DraftCollision, apply_draft_save


def save(
    device: str, sequence: int, base: int, changes: dict[str, Any], *, whole: bool = False
) -> DraftSave:
    return DraftSave(device=device, sequence=sequence, base=base, changes=changes, whole=whole)


def test_a_save_makes_a_new_revision() -> None:
    draft = Draft()
    saved = apply_draft_save(draft, save("phone", 1, 0, {"subjective": "tired"}))
    assert (saved.revision, saved.written) == (1, ("subjective",))
    assert draft.content() == {"subjective": "tired"}


def test_a_stale_save_of_another_field_merges_and_says_what_was_merged() -> None:
    draft = Draft()
    apply_draft_save(draft, save("phone", 1, 0, {"subjective": "tired"}))
    saved = apply_draft_save(draft, save("tablet", 1, 0, {"plan": "again on Friday"}))
    assert (saved.revision, saved.merged, saved.collisions) == (2, ("subjective",), ())
    assert draft.content() == {"plan": "again on Friday", "subjective": "tired"}


def test_two_devices_on_different_lines_keep_both_lines() -> None:
    draft = Draft()
    apply_draft_save(draft, save("phone", 1, 0, {"line.a": {"repetitions": 10}}))
    apply_draft_save(draft, save("tablet", 1, 0, {"line.b": {"repetitions": 12}}))
    assert set(draft.content()) == {"line.a", "line.b"}


def test_the_same_field_from_two_devices_collides_and_neither_value_is_lost() -> None:
    draft = Draft()
    apply_draft_save(draft, save("phone", 1, 0, {"plan": "Friday"}))
    saved = apply_draft_save(draft, save("tablet", 1, 0, {"plan": "Monday", "subjective": "tired"}))
    assert saved.collisions == (DraftCollision(field="plan", current="Friday", yours="Monday"),)
    assert draft.content() == {"plan": "Friday", "subjective": "tired"}
    assert draft.collisions() == {"plan": ["Friday", "Monday"]}


def test_a_save_that_has_seen_both_values_settles_the_collision() -> None:
    draft = Draft()
    apply_draft_save(draft, save("phone", 1, 0, {"plan": "Friday"}))
    apply_draft_save(draft, save("tablet", 1, 0, {"plan": "Monday"}))
    half = apply_draft_save(draft, save("desk", 1, 1, {"plan": "Friday or Monday"}))
    assert half.collisions, "a save that saw only the first value does not settle it"
    settled = apply_draft_save(draft, save("phone", 2, draft.revision, {"plan": "Monday"}))
    assert settled.collisions == ()
    assert draft.collisions() == {}
    assert draft.content() == {"plan": "Monday"}


def test_the_same_value_from_two_devices_is_no_collision() -> None:
    draft = Draft()
    apply_draft_save(draft, save("phone", 1, 0, {"plan": "Friday"}))
    assert apply_draft_save(draft, save("tablet", 1, 0, {"plan": "Friday"})).collisions == ()
    assert draft.collisions() == {}


def test_a_repeated_or_overtaken_save_changes_nothing() -> None:
    draft = Draft()
    apply_draft_save(draft, save("phone", 2, 0, {"plan": "Monday"}))
    late = apply_draft_save(draft, save("phone", 1, 0, {"plan": "Friday"}))
    twice = apply_draft_save(draft, save("phone", 2, 0, {"plan": "Monday"}))
    assert (late.repeated, late.overtaken) == ((), ("plan",))
    assert (twice.repeated, twice.overtaken) == (("plan",), ())
    assert (draft.revision, draft.content()) == (1, {"plan": "Monday"})


def test_a_repeat_after_another_device_wrote_on_is_still_only_a_repeat() -> None:
    draft = Draft()
    apply_draft_save(draft, save("phone", 1, 0, {"plan": "Friday"}))
    apply_draft_save(draft, save("tablet", 1, 1, {"plan": "Monday"}))
    assert apply_draft_save(draft, save("phone", 1, 0, {"plan": "Friday"})).collisions == ()
    assert draft.content() == {"plan": "Monday"}


def test_a_whole_save_changes_only_what_differs_from_its_base() -> None:
    draft = Draft()
    apply_draft_save(draft, save("phone", 1, 0, {"plan": "Friday", "subjective": "tired"}))
    apply_draft_save(draft, save("phone", 2, 1, {"plan": "Saturday"}))
    whole = {"plan": "Friday", "subjective": "very tired"}
    saved = apply_draft_save(draft, save("tablet", 1, 1, whole, whole=True))
    assert (saved.written, saved.merged, saved.collisions) == (("subjective",), ("plan",), ())
    assert draft.content() == {"plan": "Saturday", "subjective": "very tired"}


def test_a_whole_save_empties_what_it_leaves_out() -> None:
    draft = Draft()
    apply_draft_save(draft, save("phone", 1, 0, {"plan": "Friday", "subjective": "tired"}))
    apply_draft_save(draft, save("phone", 2, 1, {"plan": "Friday"}, whole=True))
    assert draft.content() == {"plan": "Friday"}


# --- ruling 1: a number used again is never silence ------------------------------------


def test_a_number_used_again_upon_the_current_revision_is_a_new_save() -> None:
    """Ruling 1: an app that starts anew counts from 1 upon what it has read."""
    draft = Draft()
    for number in (1, 2, 3):
        apply_draft_save(draft, save("phone", number, number - 1, {"plan": f"word {number}"}))
    again = apply_draft_save(draft, save("phone", 1, 3, {"plan": "after the restart"}))
    assert (again.written, again.collisions, again.revision) == (("plan",), (), 4)
    assert draft.content() == {"plan": "after the restart"}
    late = apply_draft_save(draft, save("phone", 3, 2, {"plan": "word 3"}))
    assert (late.repeated, draft.content()) == (("plan",), {"plan": "after the restart"})


@pytest.mark.parametrize("first", [1, 2])
def test_a_number_used_again_upon_the_same_revision_keeps_both_values(first: int) -> None:
    """Ruling 1: no one can tell which of the two is newer, so both are shown."""
    draft = Draft()
    for number in range(1, first + 1):
        apply_draft_save(draft, save("phone", number, 0, {"plan": f"word {number}"}))
    other = save("phone", first, 0, {"plan": "other words"})
    again = apply_draft_save(draft, other)
    words = [f"word {first}", "other words"]
    assert again.collisions == (
        DraftCollision(field="plan", current=words[0], yours="other words"),
    )
    assert draft.collisions() == {"plan": words}
    revision = draft.revision
    told_again = apply_draft_save(draft, other)
    assert (told_again.repeated, told_again.collisions) == (("plan",), again.collisions)
    assert draft.revision == revision
    half = apply_draft_save(draft, save("phone", 7, 0, {"plan": "third"}))
    assert half.collisions, "a later save that has not seen both does not settle it"
    apply_draft_save(draft, save("phone", 8, draft.revision, {"plan": "settled"}))
    assert (draft.collisions(), draft.content()) == ({}, {"plan": "settled"})


def test_an_earlier_number_used_again_shows_every_value_that_was_not_seen() -> None:
    draft = Draft()
    apply_draft_save(draft, save("phone", 1, 0, {"plan": "a"}))
    apply_draft_save(draft, save("phone", 2, 0, {"plan": "b"}))
    apply_draft_save(draft, save("phone", 1, 0, {"plan": "c"}))
    assert set(draft.fields["plan"].values) == {"a", "b", "c"}


def test_an_earlier_number_used_again_does_not_bring_back_what_its_device_has_seen() -> None:
    draft = Draft()
    apply_draft_save(draft, save("phone", 1, 0, {"plan": "a"}))
    apply_draft_save(draft, save("phone", 2, 1, {"plan": "b"}))
    apply_draft_save(draft, save("phone", 1, 0, {"plan": "c"}))
    assert set(draft.fields["plan"].values) == {"b", "c"}


def test_a_whole_save_empties_what_its_own_device_wrote_upon_the_same_revision() -> None:
    """Offline saves of one device, each the whole note: the last one stands."""
    first, last = {"plan": "Friday", "subjective": "tired"}, {"subjective": "tired"}
    for order in ((1, 2), (2, 1)):
        draft = Draft()
        for number in order:
            whole = first if number == 1 else last
            apply_draft_save(draft, save("phone", number, 0, whole, whole=True))
        assert draft.content() == last, order


def test_what_a_whole_save_left_alone_stands() -> None:
    """It had read it: that is no save that comes late."""
    draft = Draft()
    apply_draft_save(draft, save("phone", 1, 0, {"plan": "Friday"}))
    whole = {"plan": "Friday", "subjective": "tired"}
    apply_draft_save(draft, save("phone", 2, 1, whole, whole=True))
    assert draft.content() == whole


def test_a_whole_save_overtakes_an_earlier_one_that_comes_late() -> None:
    """Also where it left the field out."""
    draft = Draft()
    apply_draft_save(draft, save("phone", 2, 0, {"subjective": "tired"}, whole=True))
    late = apply_draft_save(draft, save("phone", 1, 0, {"plan": "Friday"}))
    assert (late.overtaken, draft.content()) == (("plan",), {"subjective": "tired"})


def test_a_repeat_of_what_was_settled_is_no_collision() -> None:
    draft = Draft()
    apply_draft_save(draft, save("phone", 1, 0, {"plan": "Friday"}))
    apply_draft_save(draft, save("tablet", 1, 0, {"plan": "Monday"}))
    apply_draft_save(draft, save("phone", 2, draft.revision, {"plan": "Sunday"}))
    again = apply_draft_save(draft, save("tablet", 1, 0, {"plan": "Monday"}))
    assert (again.repeated, again.collisions) == (("plan",), ())


def test_the_same_value_saved_again_is_not_news_to_other_devices() -> None:
    draft = Draft()
    apply_draft_save(draft, save("phone", 1, 0, {"plan": "Friday"}))
    assert apply_draft_save(draft, save("phone", 2, 1, {"plan": "Friday"})).revision == 1
    seen = apply_draft_save(draft, save("tablet", 1, 1, {"plan": "Monday"}))
    assert (seen.collisions, draft.content()) == ((), {"plan": "Monday"})


FIELDS = ("subjective", "plan", "minutes.stretching", "line.a", "line.b")


@st.composite
def offline_logs(draw: st.DrawFn) -> list[DraftSave]:
    """What two or three devices wrote offline upon revision 0, each with its own numbers."""
    saves = []
    for device in draw(st.sampled_from([("phone", "tablet"), ("phone", "tablet", "desk")])):
        for sequence in range(1, draw(st.integers(1, 5)) + 1):
            names = draw(st.lists(st.sampled_from(FIELDS), min_size=1, unique=True))
            changes = dict.fromkeys(names, f"{device} {sequence}")
            saves.append(save(device, sequence, 0, changes))
    return saves


def values(draft: Draft) -> dict[str, set[Any]]:
    return {name: set(field.values) for name, field in draft.fields.items() if field.heads}


@settings(max_examples=150, deadline=None)
@given(log=offline_logs(), seed=st.integers(0, 10_000))
def test_a_shuffled_and_doubled_log_of_saves_ends_in_the_same_values(
    log: list[DraftSave], seed: int
) -> None:
    ordered, shuffled = Draft(), Draft()
    for one in log:
        apply_draft_save(ordered, one)
    chaotic = [*log, *log]
    random.Random(seed).shuffle(chaotic)
    for one in chaotic:
        apply_draft_save(shuffled, one)
    assert values(shuffled) == values(ordered)
    newest = {
        name: {
            max((s for s in log if s.device == device and name in s.changes), key=_order).changes[
                name
            ]
            for device in {s.device for s in log if name in s.changes}
        }
        for name in {name for s in log for name in s.changes}
    }
    assert values(ordered) == newest, "each device's newest word on a field is kept"


@st.composite
def restarted_logs(draw: st.DrawFn) -> tuple[list[DraftSave], dict[str, list[str]]]:
    """Offline saves whose app may have started anew unread, counting from 1 again; then what
    each device writes after it has read the draft, again from 1."""
    before: list[DraftSave] = []
    after: dict[str, list[str]] = {}
    for device in ("phone", "tablet"):
        for run in range(draw(st.integers(1, 3))):
            for sequence in range(1, draw(st.integers(1, 3)) + 1):
                names = draw(st.lists(st.sampled_from(FIELDS), min_size=1, unique=True))
                word = f"{device} {run} {sequence}"
                before.append(save(device, sequence, 0, dict.fromkeys(names, word)))
        after[device] = draw(st.lists(st.sampled_from(FIELDS), unique=True))
    return before, after


def _must_stand(log: list[DraftSave], name: str) -> set[Any]:
    """Of each device its newest values of a field, and all whose number was used again for
    another save. A number counts as newer if it was used once, or wrote the field each time."""
    found: set[Any] = set()
    for device in {one.device for one in log}:
        own = [one for one in log if one.device == device]
        times = Counter(one.sequence for one in own)
        here = Counter(one.sequence for one in own if name in one.changes)
        newest = max((n for n in here if times[n] == 1 or here[n] > 1), default=0)
        found |= {
            one.changes[name]
            for one in own
            if name in one.changes and (times[one.sequence] > 1 or one.sequence >= newest)
        }
    return found


@settings(max_examples=150, deadline=None)
@given(logs=restarted_logs(), seed=st.integers(0, 10_000))
def test_a_shuffled_doubled_and_restarted_log_ends_in_one_right_draft(
    logs: tuple[list[DraftSave], dict[str, list[str]]], seed: int
) -> None:
    """Ruling 1: whatever the order, every value that nothing has seen stands; once they are
    read, a restarted app's first word settles them, and repeats of the old ones change nothing."""
    before, after = logs
    chance, draft = random.Random(seed), Draft()
    chaotic = [*before, *before]
    chance.shuffle(chaotic)
    for one in chaotic:
        apply_draft_save(draft, one)
    names = {name for one in before for name in one.changes}
    assert values(draft) == {name: _must_stand(before, name) for name in names}
    read = draft.revision
    settling = [
        save(device, 1, read, dict.fromkeys(fields, f"{device} settled"))
        for device, fields in after.items()
    ]
    late = [*settling, *settling, *before]
    chance.shuffle(late)
    for one in late:
        apply_draft_save(draft, one)
    for name in names | {name for one in settling for name in one.changes}:
        settled = {one.changes[name] for one in settling if name in one.changes}
        assert values(draft)[name] == (settled or _must_stand(before, name)), name


def _order(one: DraftSave) -> int:
    return one.sequence


@pytest.mark.parametrize("seed", range(5))
def test_devices_that_write_different_fields_end_in_one_right_note(seed: int) -> None:
    log = [save("phone", n, 0, {"subjective": f"word {n}"}) for n in range(1, 9)]
    log += [save("tablet", n, 0, {f"line.{n}": {"repetitions": n}}) for n in range(1, 9)]
    replayed = [*log, *log, *log]
    random.Random(seed).shuffle(replayed)
    draft = Draft()
    for one in replayed:
        assert apply_draft_save(draft, one).collisions == ()
    expected: dict[str, Any] = {f"line.{n}": {"repetitions": n} for n in range(1, 9)}
    assert draft.content() == {**expected, "subjective": "word 8"}


def test_a_save_that_comes_after_a_whole_one_of_later_loses_nothing() -> None:
    """The whole note left the plan as it was read: what was written before it comes too late to
    change the plan, and does not empty it."""
    early = save("phone", 2, 1, {"plan": "Monday"})
    whole = save("phone", 3, 1, {"plan": "Friday"}, whole=True)
    for order in ([early, whole], [whole, early]):
        draft = Draft()
        apply_draft_save(draft, save("phone", 1, 0, {"plan": "Friday"}))
        for one in order:
            apply_draft_save(draft, one)
        assert (draft.content(), draft.collisions()) == ({"plan": "Friday"}, {})

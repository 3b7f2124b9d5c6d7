"""Saves from several devices: merged where they do not meet, both values kept where they do."""

from __future__ import annotations

import random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sessions.notes.domain.drafts import Draft, DraftCollision, DraftSave, apply_draft_save


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
    assert late.repeated == twice.repeated == ("plan",)
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

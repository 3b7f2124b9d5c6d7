"""Notes replayed from shuffled, doubled and restarted logs of saves: one note, nothing lost."""

from __future__ import annotations

import pytest

from sessions.notes.domain.addenda import unsent_fields
from tests.sessions.notes.replaying import Replay, stands

LOGS = range(200)
STEPS = 40


@pytest.mark.parametrize("named", [False, True])
def test_replayed_logs_lose_no_word_that_nobody_had_read(named: bool) -> None:
    """Ruling 1: 400 logs with restarts. Where one leaves a doubt more is shown, never less."""
    collided = 0
    for seed in LOGS:
        replay = Replay(seed, restarts=True, named=named)
        replay.run(STEPS)
        found = stands(replay.draft)
        for name, words in replay.must_stand().items():
            assert words <= found.get(name, frozenset()), (seed, name)
        collided += len(replay.draft.collisions())
    assert collided > len(LOGS), "the logs would show nothing if nothing met"


@pytest.mark.parametrize(("restarts", "named"), [(False, False), (True, False), (True, True)])
def test_replayed_logs_with_saves_of_the_whole_note_lose_nothing(
    restarts: bool, named: bool
) -> None:
    """600 logs in which every other save is of the whole note, as its device shows it."""
    for seed in LOGS:
        replay = Replay(seed, restarts=restarts, named=named, wholes=True)
        replay.run(STEPS)
        found = stands(replay.draft)
        for name, words in replay.must_stand().items():
            assert words <= found.get(name, frozenset()), (seed, name)


def test_replayed_logs_without_a_restart_show_exactly_what_was_not_read() -> None:
    """Ruling 1: 200 logs. A device's own later word counts, and nothing asks without a cause."""
    for seed in LOGS:
        replay = Replay(seed, restarts=False)
        replay.run(STEPS)
        assert stands(replay.draft) == replay.must_stand(), seed


@pytest.mark.parametrize("restarts", [False, True])
def test_replayed_logs_end_in_one_signed_note_and_its_addendum(restarts: bool) -> None:
    """Ruling 1: 400 notes, signed in mid-log. What comes after is sent once, and every repeat of
    every save afterwards changes nothing."""
    late = 0
    for seed in LOGS:
        replay = Replay(seed, restarts=restarts)
        replay.run(STEPS // 2)
        replay.settles()
        assert replay.draft.collisions() == {}
        signed = replay.draft.content()
        replay.run(STEPS // 2)
        replay.settles()
        assert stands(replay.draft).keys() == replay.must_stand().keys()
        for name, words in replay.must_stand().items():
            assert words == stands(replay.draft)[name], (seed, name)
        sent = replay.unsent(signed)
        late += len(sent)
        replay.draft.put_back({name: signed.get(name) for name in sent})
        assert replay.draft.content() == signed
        revision = replay.draft.revision
        replay.everything_arrives()
        assert (replay.draft.content(), replay.draft.collisions()) == (signed, {}), seed
        assert replay.draft.revision == revision
    assert late > len(LOGS), "the logs would show nothing if nothing came late"


def test_fields_with_two_values_are_among_those_that_wait() -> None:
    signed = {"plan": "Friday", "subjective": "tired"}
    assert unsent_fields(signed, signed) == {}
    assert unsent_fields(signed, signed, {"plan": ["Friday", "Monday"]}) == {"plan": "Friday"}

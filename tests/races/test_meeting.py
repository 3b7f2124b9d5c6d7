"""Where the threads of a race meet: nobody alone passes early, nobody waits for ever."""

from __future__ import annotations

from threading import Thread

import pytest

from tests.races.lifted import TRIES, shown_within_rounds
from tests.races.meeting import Meeting

LONG, SHORT = 30.0, 0.05


def coming(meeting: Meeting) -> Thread:
    thread = Thread(target=meeting.wait)
    thread.start()
    return thread


def test_the_first_waits_for_the_second_and_whoever_comes_later_passes() -> None:
    meeting = Meeting(2, LONG)
    first = coming(meeting)
    first.join(SHORT)
    assert (first.is_alive(), meeting.met) == (True, False)
    for thread in (coming(meeting), first, coming(meeting)):
        thread.join(LONG / 2)
        assert not thread.is_alive()
    assert meeting.met


def test_those_who_come_one_after_the_other_have_not_met() -> None:
    meeting = Meeting(2, SHORT)
    for _ in range(3):
        coming(meeting).join()
    assert not meeting.met


def test_one_who_comes_twice_is_one() -> None:
    meeting = Meeting(2, SHORT)

    def twice() -> None:
        meeting.wait()
        meeting.wait()

    thread = Thread(target=twice)
    thread.start()
    thread.join()
    assert not meeting.met


def test_the_threads_of_another_round_meet_anew() -> None:
    meeting = Meeting(1, SHORT)
    coming(meeting).join()
    assert meeting.met
    meeting.renew()
    assert not meeting.met


def test_the_tests_own_thread_waits_for_nobody() -> None:
    meeting = Meeting(1, LONG)
    meeting.wait()
    assert not meeting.met


def test_a_control_that_shows_nothing_fails_and_says_whether_they_met() -> None:
    meeting, rounds = Meeting(1, SHORT), list[int]()

    def nothing(number: int) -> bool:
        rounds.append(number)
        coming(meeting).join()
        return False

    with pytest.raises(pytest.fail.Exception, match=r"did they meet: \[\[True\], \[True\]"):
        shown_within_rounds(nothing, meeting)
    assert rounds == list(range(TRIES))

"""Kinds of session: what follows from one, what does not fit, and the time that a session holds."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from practice.core.reasons import Rejected
from practice.core.terms import Mode
from sessions.booking.domain.neighbours import Neighbour, buffer_warnings
from sessions.calendar.domain.events import SessionBooked
from sessions.calendar.domain.held_time import Buffers, held_time
from sessions.calendar.domain.terms import SessionPurpose
from sessions.kinds.domain.kind import (
    SessionKind,
    check_bookable,
    check_length,
    check_lengths,
    kind_warnings,
    mode_of,
    purpose_of,
)
from tests.sessions.booking.examples import AHEAD, FACILITY, OTHER, PRACTITIONER_ID, ROOM, slot


def kind(**changes: Any) -> SessionKind:
    values: dict[str, Any] = {
        "id": UUID(int=7),
        "name": "First evaluation",
        "purpose": SessionPurpose.EVALUATION,
        "default_minutes": 75,
        "lengths": (60, 75),
        "buffers": Buffers(5, 10),
        "hands_on": True,
        "private_room": True,
        **changes,
    }
    return SessionKind(**values)


def refusal(code: str, rule: Any, *arguments: Any) -> Rejected:
    with pytest.raises(Rejected) as refused:
        rule(*arguments)
    assert refused.value.code == code
    return refused.value


@pytest.mark.parametrize("minutes", [60, 75])
def test_a_kind_is_booked_in_the_lengths_it_comes_in(minutes: int) -> None:
    check_length(kind(), minutes)


@pytest.mark.parametrize("minutes", [59, 61, 90])
def test_another_length_is_refused_naming_those(minutes: int) -> None:
    refused = refusal("kind_length", check_length, kind(), minutes)
    assert refused.detail == f"“First evaluation” lasts 60 or 75 minutes, not {minutes}."


def test_the_usual_length_is_one_of_those() -> None:
    check_lengths(60, (60, 75))
    assert refusal("invalid", check_lengths, 61, (60, 75)).fields.keys() == {"default_minutes"}


def test_a_kind_out_of_use_is_booked_no_more() -> None:
    check_bookable(kind())
    refusal("kind_out_of_use", check_bookable, kind(is_active=False))


def test_the_purpose_follows_from_the_kind_and_another_is_refused() -> None:
    assert purpose_of(kind(), None) is SessionPurpose.EVALUATION
    assert purpose_of(kind(), SessionPurpose.EVALUATION) is SessionPurpose.EVALUATION
    refused = refusal("invalid", purpose_of, kind(), SessionPurpose.TREATMENT)
    assert (refused.status, set(refused.fields)) == (400, {"purpose"})


@pytest.mark.parametrize(
    ("hands_on", "asked", "found"),
    [
        (True, None, None),
        (True, Mode.SELF_DIRECTED, Mode.SELF_DIRECTED),
        (True, Mode.HANDS_ON, Mode.HANDS_ON),
        (False, None, Mode.SELF_DIRECTED),
        (False, Mode.SELF_DIRECTED, Mode.SELF_DIRECTED),
    ],
)
def test_the_mode_follows_from_a_kind_that_is_self_directed(
    hands_on: bool, asked: Mode | None, found: Mode | None
) -> None:
    assert mode_of(kind(hands_on=hands_on), asked) is found


def test_hands_on_is_refused_of_a_kind_that_is_self_directed() -> None:
    refusal("kind_self_directed", mode_of, kind(hands_on=False), Mode.HANDS_ON)


@pytest.mark.parametrize(
    ("changes", "private", "mode", "codes"),
    [
        ({}, True, Mode.HANDS_ON, []),
        ({}, False, Mode.HANDS_ON, ["kind_private_room"]),
        ({"private_room": False}, False, Mode.HANDS_ON, []),
        ({}, True, Mode.SELF_DIRECTED, ["kind_not_hands_on"]),
        ({"hands_on": False}, True, Mode.SELF_DIRECTED, []),
    ],
)
def test_what_does_not_fit_is_warned_of(
    changes: dict[str, Any], private: bool, mode: Mode, codes: list[str]
) -> None:
    found = kind_warnings(kind(**changes), private=private, mode=mode)
    assert [one.code for one in found] == codes


def test_a_session_holds_its_buffers_besides() -> None:
    end = AHEAD + timedelta(minutes=60)
    before, after = held_time(AHEAD, end, Buffers(5, 10))
    assert (AHEAD - before, after - end) == (timedelta(minutes=5), timedelta(minutes=10))


def neighbour(starts_at: datetime, *buffers: int, **changes: Any) -> Neighbour:
    values: dict[str, Any] = {
        "session_id": OTHER,
        "practitioner_id": PRACTITIONER_ID,
        "facility_id": FACILITY,
        "room_id": None,
        "starts_at": starts_at,
        "ends_at": starts_at + timedelta(minutes=60),
        "buffers": Buffers(*buffers),
        **changes,
    }
    return Neighbour(**values)


@pytest.mark.parametrize(
    ("gap", "own", "theirs", "warned"),
    [
        (0, (0, 0), (0, 0), False),
        (10, (0, 10), (0, 0), False),
        (9, (0, 10), (0, 0), True),
        (5, (0, 0), (5, 0), False),
        (4, (0, 0), (5, 0), True),
        (15, (0, 10), (5, 0), False),
        (14, (0, 10), (5, 0), True),
        (0, (10, 0), (0, 5), False),
    ],
)
def test_a_session_that_eats_a_buffer_after_it_is_warned_of(
    gap: int, own: tuple[int, int], theirs: tuple[int, int], warned: bool
) -> None:
    """Ruling 36: buffers block practitioner and room; what is booked all the same is said."""
    asked = slot()
    near = neighbour(asked.ends_at + timedelta(minutes=gap), *theirs)
    assert bool(buffer_warnings(asked, Buffers(*own), [near])) is warned


@pytest.mark.parametrize(("gap", "warned"), [(15, False), (14, True)])
def test_and_before_it(gap: int, warned: bool) -> None:
    asked = slot()
    near = neighbour(asked.starts_at - timedelta(minutes=60 + gap), 0, 10)
    found = buffer_warnings(asked, Buffers(5, 0), [near])
    assert bool(found) is warned


def test_it_says_whose_how_much_is_left_and_when() -> None:
    asked = slot(room_id=ROOM)
    near = neighbour(asked.ends_at + timedelta(minutes=5), practitioner_id=uuid4(), room_id=ROOM)
    [one] = buffer_warnings(asked, Buffers(0, 10), [near])
    begins = asked.local_start + timedelta(minutes=65)
    assert one.text == (
        f"The room has 5 minutes to the session that begins at {begins:%H:%M}: 10 are kept between."
    )


def test_a_real_overlap_is_a_clash_and_no_warning() -> None:
    asked = slot()
    near = neighbour(asked.ends_at - timedelta(minutes=1), 30, 30)
    assert buffer_warnings(asked, Buffers(30, 30), [near]) == []


def test_a_session_that_was_booked_before_there_were_kinds_is_of_none() -> None:
    assert SessionBooked.__struct_defaults__[-1] is None

"""Ruling 57: one minute of a client counts once, whoever worked, and one of a practitioner
once, whoever was there. Ruling 58: minutes beyond the clock earn nothing."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from billing.authorizations.domain.events import VisitCalculated, VisitOverridden
from billing.authorizations.domain.terms import (
    CoverageStatus,
    SharedTimeAnswer,
    UncoveredReason,
    UndecidedReason,
)
from billing.units.domain.units import units_of_total
from billing.visits.domain.overrides import override_units
from billing.visits.domain.shared_answers import (
    GivenAnswer,
    SharingSession,
    answer_shared_time,
    divide_shared_time,
)
from billing.visits.domain.shared_time import minutes_of
from practice.core.reasons import Rejected
from practice.core.terms import SessionPart
from tests.billing.streams import (
    CARDIO,
    DAY,
    OT,
    PT,
    STRENGTH,
    STRETCHING,
    TALK,
    Stream,
    at,
    named,
    payer_rules,
    someone_else,
)

ALL, DIVIDED, GROUP = SharedTimeAnswer


def session_of(note: str) -> UUID:
    return named(f"session of {note}")


def sharing(*streams: tuple[str, Stream]) -> list[SharingSession]:
    return [
        SharingSession(named(client), visit_id, session)
        for client, stream in streams
        for visit_id, visit in stream.authorization_balance.visits.items()
        for session in visit.last.sessions
        if session.shared
    ]


def answer(
    streams: list[tuple[str, Stream]], note: str, said: SharedTimeAnswer, **minutes: int
) -> None:
    """A person's answer for every session that shares the time."""
    given = {session_of(name): count for name, count in minutes.items()}
    decision = divide_shared_time(
        sharing(*streams), GivenAnswer(session_of(note), said, given), "asked"
    )
    for _, stream in streams:
        stream.add(*answer_shared_time(stream.authorization_balance, decision, stream.payers))


def same_hour(first: dict[SessionPart, int], second: dict[SessionPart, int], **more: Any) -> Stream:
    """One client, two sessions entered for the same hour."""
    stream = Stream()
    stream.authorize(visits=None, units=None)
    stream.sign(first, note="one", starts="15:00")
    stream.sign(second, note="two", starts="15:00", by="another", **more)
    return stream


def units(calculated: VisitCalculated) -> int:
    return sum(calculated.used_units.values())


def test_a_client_entered_twice_for_the_same_hour_is_paid_once_and_it_is_said() -> None:
    visit = same_hour({STRETCHING: 60}, {STRETCHING: 60}).visit_of("one")
    assert (visit.used_units, visit.used_minutes, visit.timed_minutes) == ({"S": 4}, 60, 60)
    assert (visit.covered, visit.uncovered_reasons) == (
        CoverageStatus.PARTLY,
        (UncoveredReason.OVERLAPPING_TIME,),
    )
    assert [(one.note_id, one.minutes) for one in visit.excluded_minutes] == [(named("two"), 60)]


def test_units_that_are_sure_in_total_but_not_by_code_are_reserved() -> None:
    stream = same_hour({STRETCHING: 60}, {CARDIO: 60})
    visit = stream.visit_of("one")
    assert (visit.used_units, visit.timed_minutes) == ({}, 60)
    assert visit.undecided is not None
    assert visit.undecided.undecided_reason is UndecidedReason.UNCERTAIN_MINUTES
    assert (visit.undecided.units, visit.undecided.max_by_code) == (4, {"C": 4, "S": 4})
    assert stream.used() == (1, 0, 4, 0)
    decided = override_units(
        stream.authorization_balance, visit.visit_id, {"S": 3, "C": 1}, stream.payers, ""
    )
    stream.add(*decided)
    assert stream.used() == (1, 4, 0, 60)


@pytest.mark.parametrize("order", [("pt", "ot"), ("ot", "pt")])
def test_two_disciplines_in_the_same_hour_wait_whoever_signed_first(order: tuple[str, str]) -> None:
    stream = Stream()
    stream.authorize()
    who = {"pt": PT, "ot": OT}
    for note in order:
        stream.sign({STRETCHING: 60}, note=note, starts="15:00", credential=who[note], by=note)
    for note in order:
        visit = stream.visit_of(note)
        assert (visit.used_units, visit.undecided, visit.timed_minutes) == ({}, None, 0)
        assert visit.uncovered_reasons == (UncoveredReason.OVERLAPPING_TIME,)
    assert stream.used() == (0, 0, 0, 0)


def two_disciplines(minutes: int = 60) -> Stream:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: minutes}, note="pt", starts="15:00", attended=minutes)
    stream.sign(
        {STRETCHING: minutes},
        note="ot",
        starts="15:00",
        attended=minutes,
        credential=OT,
        by="another",
    )
    return stream


def test_all_to_one_discipline_earns_what_the_hour_earns_once() -> None:
    stream = two_disciplines()
    answer([("client", stream)], "ot", ALL)
    assert (stream.visit_of("pt").used_units, stream.visit_of("ot").used_units) == ({}, {"S": 4})
    assert stream.visit_of("ot").covered is CoverageStatus.COVERED
    assert stream.used() == (1, 4, 0, 60)


def test_an_hour_divided_between_two_disciplines_earns_four_units_together() -> None:
    stream = two_disciplines()
    answer([("client", stream)], "pt", DIVIDED, pt=15, ot=45)
    assert (units(stream.visit_of("pt")), units(stream.visit_of("ot"))) == (1, 3)


@pytest.mark.parametrize(
    ("clock", "pt", "ot", "fits"),
    [
        (16, 8, 8, False),  # 1 + 1 units of time that earns one
        (16, 15, 1, True),
        (60, 30, 30, True),
        (60, 30, 31, False),  # beyond the clock
        (60, 23, 37, False),
        (60, 45, 14, True),
    ],
)
def test_two_disciplines_never_get_more_units_from_shared_time_than_it_earns_once(
    clock: int, pt: int, ot: int, fits: bool
) -> None:
    stream = two_disciplines(clock)
    if not fits:
        with pytest.raises(Rejected) as refused:
            answer([("client", stream)], "pt", DIVIDED, pt=pt, ot=ot)
        assert list(refused.value.fields) == ["minutes"]
        return
    answer([("client", stream)], "pt", DIVIDED, pt=pt, ot=ot)
    together = units(stream.visit_of("pt")) + units(stream.visit_of("ot"))
    assert together <= units_of_total(clock)


def two_clients(
    first: dict[SessionPart, int], second: dict[SessionPart, int], starts: str = "15:45"
) -> list[tuple[str, Stream]]:
    """One practitioner with ann from 15:00 to 16:00 and with bob for an hour from ``starts``."""
    ann, bob = Stream(), Stream()
    ends = f"{int(starts[:2]) + 1}:{starts[3:]}"
    for stream in (ann, bob):
        stream.authorize()
    theirs = someone_else(starts, ends, name="session of bob")
    ann.sign(first, note="ann", starts="15:00", attended=60, elsewhere=(theirs,))
    theirs = someone_else("15:00", "16:00", name="session of ann")
    bob.sign(second, note="bob", starts=starts, attended=60, elsewhere=(theirs,))
    return [("ann", ann), ("bob", bob)]


def test_only_the_minutes_that_two_clients_share_wait() -> None:
    for name, stream in two_clients({STRETCHING: 60}, {STRETCHING: 60}):
        visit = stream.visit_of(name)
        assert (visit.used_units, visit.timed_minutes) == ({"S": 3}, 45)
        assert [(one.minutes, one.uncovered_reason) for one in visit.excluded_minutes] == [
            (15, UncoveredReason.OVERLAPPING_TIME)
        ]


@pytest.mark.parametrize(
    ("starts", "sure", "expected"), [("15:37", 37, 2), ("15:38", 38, 3), ("16:00", 60, 4)]
)
def test_a_shared_minute_more_or_less_decides_at_the_bound(
    starts: str, sure: int, expected: int
) -> None:
    ((_, ann), _) = two_clients({STRETCHING: 60}, {STRETCHING: 60}, starts)
    assert (ann.visit_of("ann").timed_minutes, units(ann.visit_of("ann"))) == (sure, expected)


def test_after_an_answer_both_are_never_paid_in_full() -> None:
    both = two_clients({STRETCHING: 60}, {STRETCHING: 60})
    (_, ann), (_, bob) = both
    answer(both, "bob", ALL)
    assert (ann.visit_of("ann").used_minutes, bob.visit_of("bob").used_minutes) == (45, 60)
    answer(both, "ann", DIVIDED, ann=8, bob=7)
    assert (ann.visit_of("ann").used_minutes, bob.visit_of("bob").used_minutes) == (53, 52)
    assert (units(ann.visit_of("ann")), units(bob.visit_of("bob"))) == (4, 3)
    made = [one.data for one in bob.events if isinstance(one.data, VisitOverridden)]
    assert [one.counted_shared_minutes for one in made] == [15, 7]
    before = len(ann.events)
    answer(both, "ann", DIVIDED, ann=8, bob=7)
    assert len(ann.events) == before


@pytest.mark.parametrize(
    ("minutes", "field"),
    [
        ({"ann": 8, "bob": 8}, "minutes"),
        ({"ann": 16, "bob": 0}, "minutes"),
        ({"ann": 8}, "minutes"),
        ({}, "minutes"),
    ],
)
def test_a_division_that_gives_a_minute_twice_or_leaves_one_out_is_refused(
    minutes: dict[str, int], field: str
) -> None:
    both = two_clients({STRETCHING: 60}, {STRETCHING: 60})
    with pytest.raises(Rejected) as refused:
        answer(both, "ann", DIVIDED, **minutes)
    assert (refused.value.status, list(refused.value.fields)) == (400, [field])


def test_a_session_that_shares_nothing_has_nothing_to_answer() -> None:
    stream = Stream()
    stream.sign({STRETCHING: 30}, note="alone")
    with pytest.raises(Rejected) as refused:
        answer([("client", stream)], "alone", ALL)
    assert list(refused.value.fields) == ["session_id"]


def test_three_clients_in_45_minutes_get_a_unit_each_for_their_own_minutes() -> None:
    """CMS's example on one-on-one time with several clients at once: 18, 13 and 14 minutes of
    45 are one unit for each (CMS, billing scenarios for therapists, on Pub. 100-04 ch. 5)."""
    names = ("ann", "bob", "cem")
    streams = []
    for name in names:
        stream = Stream()
        stream.authorize()
        others = [
            someone_else("15:00", "15:45", name=f"session of {one}") for one in names if one != name
        ]
        stream.sign(
            {STRETCHING: 45}, note=name, starts="15:00", attended=45, elsewhere=tuple(others)
        )
        assert stream.visit_of(name).timed_minutes == 0
        streams.append((name, stream))
    answer(streams, "ann", DIVIDED, ann=18, bob=13, cem=14)
    assert [units(stream.visit_of(name)) for name, stream in streams] == [1, 1, 1]
    with pytest.raises(Rejected):
        answer(streams, "ann", DIVIDED, ann=18, bob=14, cem=14)


def test_a_group_earns_each_client_one_untimed_unit_whatever_its_length() -> None:
    """CMS Transmittal 1753: group therapy is untimed; individual minutes that day are others."""
    both = two_clients({STRETCHING: 60}, {STRETCHING: 60})
    rules = payer_rules(group_code="G", untimed=frozenset({"G"}))
    for _, stream in both:
        stream.payers = {rules.payer_id: rules}
    answer(both, "ann", GROUP)
    for name, stream in both:
        visit = stream.visit_of(name)
        assert (visit.used_units, visit.used_minutes) == ({"S": 3, "G": 1}, 45)
        assert (visit.covered, visit.excluded_minutes) == (CoverageStatus.COVERED, ())


def test_a_group_without_a_code_of_the_payer_earns_nothing_and_says_so() -> None:
    both = two_clients({STRETCHING: 60}, {STRETCHING: 60})
    answer(both, "ann", GROUP)
    visit = both[0][1].visit_of("ann")
    assert visit.used_units == {"S": 3}
    assert [(one.minutes, one.uncovered_reason) for one in visit.excluded_minutes] == [
        (15, UncoveredReason.NO_SERVICE_CODE)
    ]


def test_one_client_is_no_group() -> None:
    with pytest.raises(Rejected) as refused:
        answer([("client", two_disciplines())], "pt", GROUP)
    assert list(refused.value.fields) == ["answer"]


def test_a_session_signed_later_that_shares_the_time_too_asks_anew() -> None:
    stream = two_disciplines()
    answer([("client", stream)], "pt", ALL)
    assert units(stream.visit_of("pt")) == 4
    stream.sign({STRENGTH: 30}, note="late", starts="15:30", attended=30, by="third")
    (pt,) = [one for one in stream.visit_of("pt").sessions if one.note_id == named("pt")]
    assert (pt.shared_answer, pt.counted_shared_minutes) == (None, None)
    assert (stream.visit_of("pt").used_units, stream.visit_of("ot").used_units) == ({}, {})


def test_an_untimed_service_that_may_lie_wholly_in_shared_time_waits_too() -> None:
    codes = {(STRETCHING, PT): "S", (TALK, PT): "E"}
    rules = payer_rules(codes=codes, untimed=frozenset({"E"}))
    for shared_from, expected in (("15:40", {"S": 1}), ("15:41", {"S": 1, "E": 1})):
        stream = Stream(rules)
        stream.authorize()
        visit = stream.sign(
            {STRETCHING: 40, TALK: 20},
            starts="15:00",
            attended=60,
            elsewhere=(someone_else(shared_from, "16:30"),),
        )
        assert visit.used_units.get("E", 0) == expected.get("E", 0)


@pytest.mark.parametrize(
    ("typed", "sure", "expected"), [(29, 29, 2), (30, 30, 2), (31, 30, 2), (240, 30, 2)]
)
def test_minutes_beyond_the_clock_earn_nothing(typed: int, sure: int, expected: int) -> None:
    stream = Stream()
    stream.authorize()
    visit = stream.sign({STRETCHING: typed}, attended=30)
    assert (visit.timed_minutes, units(visit)) == (sure, expected)
    beyond = visit.excluded_minutes
    assert [one.minutes for one in beyond] == ([typed - 30] if typed > 30 else [])
    assert all(one.uncovered_reason is UncoveredReason.BEYOND_CLOCK for one in beyond)


def test_an_addendum_of_300_minutes_does_not_use_up_all_that_is_left() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 24}, attended=30)
    (again,) = stream.correct("note", {STRETCHING: 300})
    assert again.used_units == {"S": 2}
    assert stream.used() == (1, 2, 0, 30)


def test_a_minute_begun_is_a_minute() -> None:
    half = timedelta(seconds=30)
    assert minutes_of([(at(DAY), at(DAY) + half)]) == 1
    assert minutes_of([(at(DAY), at(DAY) + 2 * half)]) == 1
    assert minutes_of([(at(DAY), at(DAY) + half), (at(DAY), at(DAY) + 3 * half)]) == 2
    assert minutes_of([]) == 0


@pytest.mark.parametrize(("had", "gets"), [("pt", "ot"), ("ot", "pt")])
def test_what_one_discipline_gives_back_the_other_may_use_at_once(had: str, gets: str) -> None:
    stream = Stream()
    stream.authorize(units=4)
    stream.sign({STRETCHING: 60}, note="pt", starts="15:00", attended=60)
    stream.sign({STRETCHING: 60}, note="ot", starts="15:00", credential=OT, by="another")
    answer([("client", stream)], had, ALL)
    answer([("client", stream)], gets, ALL)
    assert (units(stream.visit_of(had)), units(stream.visit_of(gets))) == (0, 4)
    assert stream.used() == (1, 4, 0, 60)


def test_the_clock_of_one_session_lends_no_minutes_to_another() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 5}, note="one", starts="15:00", attended=60)
    visit = stream.sign({CARDIO: 60}, note="two", starts="17:00", attended=30)
    assert (visit.timed_minutes, visit.used_units) == (35, {"C": 2})


ENTRIES = st.lists(
    st.tuples(
        st.integers(0, 90),
        st.integers(5, 60),
        st.sampled_from([PT, OT]),
        st.dictionaries(st.sampled_from([STRETCHING, CARDIO]), st.integers(0, 60), max_size=2),
    ),
    min_size=1,
    max_size=4,
)


def entered(entries: Any, order: list[int]) -> Stream:
    stream = Stream()
    stream.authorize(visits=None, units=None)
    for index in order:
        begin, length, credential, minutes = entries[index]
        stream.sign(
            minutes,
            note=f"n{index}",
            starts=f"{15 + begin // 60}:{begin % 60:02}",
            attended=length,
            credential=credential,
            by=f"p{index}",
        )
    return stream


def needs(stream: Stream) -> Any:
    return {
        visit.last.discipline: (
            visit.last.expected_units,
            visit.last.expected_units_undecided,
            visit.last.timed_minutes,
        )
        for visit in stream.authorization_balance.visits.values()
    }


@settings(max_examples=150, deadline=None)
@given(ENTRIES, st.randoms(use_true_random=False))
def test_shared_time_is_the_same_in_whatever_order_it_is_signed(entries: Any, random: Any) -> None:
    order = list(range(len(entries)))
    shuffled = list(order)
    random.shuffle(shuffled)

    assert needs(entered(entries, order)) == needs(entered(entries, shuffled))


@settings(max_examples=150, deadline=None)
@given(ENTRIES, st.data())
def test_no_minute_of_a_client_is_counted_twice_before_and_after_an_answer(
    entries: Any, data: Any
) -> None:
    stream = entered(entries, list(range(len(entries))))
    check_clock(stream)
    found = sharing(("client", stream))
    if not found:
        return
    note = data.draw(st.sampled_from([one.session for one in found]))
    amounts = st.sampled_from([0, 5, 15, 30])
    counted = {one.session.session_id: data.draw(amounts) for one in found}
    said = data.draw(st.sampled_from([ALL, DIVIDED]))
    try:
        given = GivenAnswer(note.session_id, said, counted if said is DIVIDED else {})
        decision = divide_shared_time(found, given, "")
    except Rejected:
        return
    stream.add(*answer_shared_time(stream.authorization_balance, decision, stream.payers))
    check_clock(stream)


def check_clock(stream: Stream) -> None:
    visits = [visit.last for visit in stream.authorization_balance.visits.values()]
    clock = minutes_of((one.started_at, one.ended_at) for visit in visits for one in visit.sessions)
    assert sum(visit.timed_minutes for visit in visits) <= clock


def test_times_corrected_into_another_session_share_its_time() -> None:
    """Ruling 57: the correction is looked at as a signature is; both disciplines wait."""
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 60}, note="pt", starts="15:00", attended=60)
    stream.sign({STRETCHING: 60}, note="ot", starts="16:00", attended=60, credential=OT)
    assert stream.used() == (1, 8, 0, 120)
    stream.correct_times("ot", "15:45", "16:45")
    assert [stream.visit_of(one).timed_minutes for one in ("pt", "ot")] == [45, 45]
    assert stream.used() == (1, 6, 0, 90)
    stream.correct_times("ot", "16:00", "17:00")
    assert [stream.visit_of(one).timed_minutes for one in ("pt", "ot")] == [60, 60]
    assert not [one for note in ("pt", "ot") for one in stream.visit_of(note).sessions[0].shared]


def test_times_corrected_away_from_another_client_name_whom_they_part_from() -> None:
    theirs = someone_else("15:45", "16:45", name="session of bob")
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 60}, note="ann", starts="15:00", attended=60)
    (shared,) = stream.correct_times("ann", "15:30", "16:30", elsewhere=(theirs,))
    assert (shared.timed_minutes, shared.parted_from) == (15, ())
    (apart,) = stream.correct_times(
        "ann", "14:00", "15:00", standing=frozenset({theirs.session_id})
    )
    assert (apart.timed_minutes, apart.parted_from) == (60, (named("session of bob"),))


def test_time_shared_with_an_erased_record_stays_shared_as_far_as_it_is_known() -> None:
    theirs = someone_else("15:45", "16:45", name="session of bob")
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 60}, note="ann", starts="15:00", attended=60, elsewhere=(theirs,))
    (again,) = stream.correct_times("ann", "15:05", "16:05")
    assert again.timed_minutes == 45
    assert again.sessions[0].shared[0].starts_at == at(DAY, "15:45")

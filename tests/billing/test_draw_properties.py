"""Whatever is signed, corrected and chosen in whatever order: the books agree."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from billing.authorizations.domain.events import AuthorizationAmended
from billing.authorizations.domain.terms import CoverageStatus, UncoveredReason
from billing.payers.domain.rules import VisitDefinition
from billing.visits.domain.overrides import override_units
from practice.core.terms import Credential, SessionPart
from tests.billing.streams import (
    CARDIO,
    DAY,
    OT,
    PT,
    STRENGTH,
    STRETCHING,
    TALK,
    TRAINER,
    Stream,
    lines,
    payer_rules,
    terms,
)

PARTS = [STRETCHING, CARDIO, STRENGTH, TALK]
MINUTES = st.dictionaries(st.sampled_from(PARTS), st.integers(0, 50), max_size=4)
SIGNATURES = st.lists(
    st.tuples(st.integers(0, 3), st.sampled_from([PT, OT, TRAINER]), MINUTES, st.booleans()),
    max_size=9,
)
LIMIT = st.none() | st.integers(1, 6)


def check_books(stream: Stream, visits: int | None, units: int | None) -> None:
    """Nothing overdrawn; what is used is the sum of the visits; a reason for each gap."""
    used_visits, units_in_use, reserved, _ = stream.used()
    assert visits is None or used_visits <= visits
    assert units is None or units_in_use + reserved <= units
    used_units: Counter[str] = Counter()
    keys: set[str] = set()
    for visit in stream.authorization_balance.visits.values():
        last = visit.last
        used_units.update(last.used_units)
        keys |= set(last.counts_as)
        assert (last.covered is CoverageStatus.COVERED) == (not last.uncovered_reasons)
        held = last.undecided.units if last.undecided else 0
        assert (
            sum(last.used_units.values()) + held
            <= sum(last.expected_units.values()) + last.expected_units_undecided
        )
        assert last.used_minutes + last.reserved_minutes <= last.timed_minutes
        short = UncoveredReason.UNITS_SHORT in last.uncovered_reasons and last.undecided is None
        assert last.used_minutes <= 15 * sum(last.used_units.values()) + (0 if short else 7)
    assert used_units.total() == units_in_use
    assert len(keys) == used_visits


@settings(max_examples=200, deadline=None)
@given(SIGNATURES, LIMIT, LIMIT, LIMIT, st.sampled_from(list(VisitDefinition)))
def test_nothing_is_overdrawn_and_the_books_agree(
    signatures: list[tuple[int, Credential, dict[SessionPart, int], bool]],
    visits: int | None,
    units: int | None,
    line: int | None,
    definition: VisitDefinition,
) -> None:
    stream = Stream(payer_rules(visit_definition=definition))
    stream.authorize(visits=visits, units=units, lines=lines(S=line, C=None, T=line))
    for number, (offset, credential, minutes, chooses) in enumerate(signatures):
        day = DAY + timedelta(days=offset)
        visit = stream.sign(minutes, note=f"{number}", day=day, credential=credential)
        check_books(stream, visits, units)
        if chooses and visit.undecided:
            rest, chosen = visit.undecided.units, {}
            for code, most in visit.undecided.max_by_code.items():
                chosen[code] = min(most, rest)
                rest -= chosen[code]
            decided = override_units(
                stream.authorization_balance, visit.visit_id, chosen, stream.payers, ""
            )
            stream.add(*decided)
            assert stream.visit_of(f"{number}").undecided is None
            check_books(stream, visits, units)
    for code, used in by_code(stream).items():
        assert line is None or code == "C" or used <= line


def by_code(stream: Stream) -> Counter[str]:
    used: Counter[str] = Counter()
    for visit in stream.authorization_balance.visits.values():
        used.update(visit.last.used_units)
    return used


@settings(max_examples=100, deadline=None)
@given(st.lists(MINUTES, min_size=1, max_size=4), st.randoms(use_true_random=False))
def test_the_need_of_a_day_does_not_depend_on_the_order_of_signing(notes, random) -> None:
    def expected_units(order: list[int]) -> object:
        stream = Stream()
        stream.authorize(visits=1)
        for index in order:
            last = stream.sign(notes[index], note=f"{index}")
        return last.expected_units, last.expected_units_undecided, last.timed_minutes

    order = list(range(len(notes)))
    shuffled = list(order)
    random.shuffle(shuffled)
    assert expected_units(order) == expected_units(shuffled)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(0, 2), MINUTES, st.integers(1, 8), st.integers(1, 4)), max_size=8
    )
)
def test_a_signature_never_draws_beyond_the_amended_limits(steps) -> None:
    """Limits go up and down between signatures; what is over-used only ever shrinks."""
    stream = Stream()
    authorization = stream.authorize()
    for number, (offset, minutes, units, visits) in enumerate(steps):
        now = terms(units=units, visits=visits)
        stream.add(AuthorizationAmended(authorization_id=authorization, terms=now, reason="x"))
        before = stream.used()
        stream.sign(minutes, note=f"{number}", day=DAY + timedelta(days=offset))
        after = stream.used()
        assert after[1] + after[2] <= max(units, before[1] + before[2])
        assert after[0] <= max(visits, before[0])

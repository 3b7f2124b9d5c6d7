"""Recording, amending and ending authorizations."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from billing.authorizations.domain.decisions import (
    amend_authorization,
    end_authorization,
    record_authorization,
    reopen_authorization,
)
from billing.authorizations.domain.events import (
    AuthorizationAmended,
    AuthorizationEnded,
    AuthorizationRecorded,
    AuthorizedLine,
)
from billing.payers.domain.rules import KnownCodes
from practice.core.reasons import Rejected
from tests.billing.streams import DAY, STRETCHING, Stream, lines, named, terms

KNOWN = KnownCodes(frozenset({"S", "C"}), frozenset({named("practitioner")}))


def record(stream: Stream, **changes: Any) -> Any:
    return record_authorization(
        stream.authorization_balance, named("payer"), terms(**changes), KNOWN, stream.context
    )


def test_an_authorization_is_recorded_with_its_terms() -> None:
    (made,) = record(Stream(), lines=lines(S=12, C=None), practitioner_ids=(named("practitioner"),))
    assert isinstance(made, AuthorizationRecorded)
    assert (made.payer_id, made.terms.lines[0]) == (
        named("payer"),
        AuthorizedLine(code="S", units=12),
    )


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"ends_on": date(2026, 2, 1)}, "ends_on"),
        ({"visits": None, "units": None}, "visits"),
        ({"visits": 0}, "visits"),
        ({"units": -1}, "units"),
        ({"minutes": 0}, "minutes"),
        ({"lines": lines(X=3)}, "lines"),
        ({"lines": lines(S=0)}, "lines"),
        ({"lines": (AuthorizedLine(code="S"), AuthorizedLine(code="S"))}, "lines"),
        ({"practitioner_ids": (named("a stranger"),)}, "practitioner_ids"),
        ({"diagnoses": ("25.611",)}, "diagnoses"),
        ({"diagnoses": ("m25.611",)}, "diagnoses"),
    ],
)
def test_terms_that_cannot_be_are_refused_with_the_field(changes: Any, field: str) -> None:
    with pytest.raises(Rejected) as refused:
        record(Stream(), **changes)
    assert refused.value.status == 400
    assert list(refused.value.fields) == [field]


def test_units_of_a_line_alone_are_a_limit() -> None:
    assert record(Stream(), visits=None, units=None, lines=lines(S=12))


@pytest.mark.parametrize("code", ["M25.611", "C50.911", "Z90", "I97.2"])
def test_codes_in_the_form_of_icd_10_cm_are_taken(code: str) -> None:
    """Official Guidelines for Coding and Reporting, I.A.2: 3 to 7 characters."""
    assert record(Stream(), diagnoses=(code,))


def test_the_same_number_of_one_payer_stands_once() -> None:
    stream = Stream()
    stream.authorize()
    with pytest.raises(Rejected) as refused:
        record(stream)
    assert refused.value.code == "authorization_number_taken"
    assert refused.value.extra == {"authorization_id": str(named("authorization"))}


def test_another_payer_may_use_the_same_number() -> None:
    stream = Stream()
    stream.authorize(payer="another payer")
    assert record(stream)


def amend(stream: Stream, **changes: Any) -> Any:
    return amend_authorization(
        stream.authorization_balance, named("authorization"), changes, "by letter", KNOWN
    )


def test_an_amendment_changes_what_is_named_and_keeps_the_rest() -> None:
    stream = Stream()
    stream.authorize(lines=lines(S=12))
    (made,) = amend(stream, visits=20, lines=[{"code": "C"}])
    assert isinstance(made, AuthorizationAmended)
    assert made.terms == terms(visits=20, lines=lines(C=None))


def test_a_limit_can_be_lifted() -> None:
    stream = Stream()
    stream.authorize()
    (made,) = amend(stream, visits=None)
    assert made.terms.visits is None


def test_an_amendment_that_changes_nothing_is_not_recorded() -> None:
    stream = Stream()
    stream.authorize()
    assert amend(stream, visits=10) == []


def test_an_amendment_to_terms_that_cannot_be_is_refused() -> None:
    stream = Stream()
    stream.authorize()
    with pytest.raises(Rejected) as refused:
        amend(stream, ends_on=date(2026, 1, 1))
    assert "ends_on" in refused.value.fields


def test_an_end_lies_within_the_period() -> None:
    stream = Stream()
    authorization = stream.authorize()
    (made,) = end_authorization(stream.authorization_balance, authorization, DAY, "change of payer")
    assert isinstance(made, AuthorizationEnded)
    for day in (date(2026, 2, 28), date(2026, 6, 1)):
        with pytest.raises(Rejected) as refused:
            end_authorization(stream.authorization_balance, authorization, day, "change of payer")
        assert "ends_on" in refused.value.fields


def test_an_ended_authorization_is_ended_on_another_day_or_reopened_but_not_amended() -> None:
    """Ruling 60."""
    stream = Stream()
    authorization = stream.authorize()
    stream.add(
        *end_authorization(stream.authorization_balance, authorization, DAY, "change of payer")
    )
    assert end_authorization(stream.authorization_balance, authorization, DAY, "again") == []
    later = end_authorization(
        stream.authorization_balance, authorization, date(2026, 4, 1), "later"
    )
    stream.add(*later)
    now = stream.authorization_balance.authorization(authorization)
    assert now.last_day == date(2026, 4, 1)
    with pytest.raises(Rejected) as refused:
        amend(stream, visits=20)
    assert refused.value.code == "authorization_ended"
    stream.add(*reopen_authorization(stream.authorization_balance, authorization, "in error"))
    now = stream.authorization_balance.authorization(authorization)
    assert now.last_day == date(2026, 5, 31)
    assert reopen_authorization(stream.authorization_balance, authorization, "again") == []
    assert amend(stream, visits=20)


def test_draws_stand_when_their_authorization_ends_before_them() -> None:
    stream = Stream()
    authorization = stream.authorize()
    stream.sign({STRETCHING: 30}, day=date(2026, 3, 20))
    stream.add(
        *end_authorization(stream.authorization_balance, authorization, DAY, "change of payer")
    )
    assert stream.used() == (1, 2, 0, 30)
    (again,) = stream.correct("note", {STRETCHING: 33})
    assert (again.used_units, again.covered.value) == ({"S": 2}, "covered")

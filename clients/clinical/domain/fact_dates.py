"""The days that facts themselves bear: an operation, radiation or condition reported late
counts from its own day, not from the one on which it was reported or reviewed (ruling 47). Pure.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

import msgspec

from clients.clinical.domain.facts import ClientFacts
from clients.clinical.domain.operations import known_histories
from clients.health.domain.content import Condition, HistoryContent, Operation, Radiation
from clients.health.domain.events import HistoryReported, HistoryReviewed
from practice.core.events import Event

DatedFact = Operation | Radiation | Condition


def facts_in(content: HistoryContent) -> Iterator[DatedFact]:
    """The operations, radiation and conditions of a history that bear a date."""
    entries: tuple[DatedFact, ...] = (
        *content.operations,
        *content.radiations,
        *content.conditions,
    )
    return (one for one in entries if one.first_day is not None)


def _as_fact(fact: DatedFact) -> DatedFact:
    """What happened, where and when; how it has healed since is no part of that."""
    replace = msgspec.structs.replace
    if isinstance(fact, Operation):
        return replace(
            fact,
            incision_healed=None,
            drains_out=None,
            donor_incision_healed=None,
            expander_in=None,
            stands_erect=None,
            planned=False,
            text="",
        )
    if isinstance(fact, Radiation):
        return replace(fact, skin_broken=None, until_date=None)
    return replace(fact, text="")


def new_facts(content: HistoryContent, known: Iterable[HistoryContent]) -> list[DatedFact]:
    """The dated facts of a history that stand in none of those known."""
    before = {_as_fact(fact) for history in known for fact in facts_in(history)}
    return [fact for fact in facts_in(content) if _as_fact(fact) not in before]


def bears_dates(event: Event) -> bool:
    """Whether an event reports facts that bear dates of their own."""
    return isinstance(event, HistoryReported | HistoryReviewed)


def earliest_new_day(event: Event, before: ClientFacts) -> date | None:
    """The first day to which a reported or reviewed history reaches back by its own facts."""
    if not isinstance(event, HistoryReported | HistoryReviewed):
        return None
    days = [fact.first_day for fact in new_facts(event.content, known_histories(before))]
    return min((day for day in days if day is not None), default=None)


def with_late_facts(then: ClientFacts, now: ClientFacts) -> ClientFacts:
    """What was known then, with the dated facts known now that were reported only later.

    Whoever asks passes over those that lie after the day that is asked for. Birth date and
    language are the client's at all times.
    """
    known = list(known_histories(then))
    late = {
        _as_fact(fact): fact
        for history in known_histories(now)
        for fact in new_facts(history, known)
    }.values()
    then = msgspec.structs.replace(then, birth_date=now.birth_date, language=now.language)
    if not late:
        return then
    into = then.reviewed or HistoryContent()
    whole = msgspec.structs.replace(
        into,
        operations=(*into.operations, *(one for one in late if isinstance(one, Operation))),
        radiations=(*into.radiations, *(one for one in late if isinstance(one, Radiation))),
        conditions=(*into.conditions, *(one for one in late if isinstance(one, Condition))),
    )
    if then.reviewed is None:
        return msgspec.structs.replace(then, reported=(*then.reported, whole))
    return msgspec.structs.replace(then, reviewed=whole)

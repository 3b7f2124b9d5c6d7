"""Exports of a short and of a long authorization: the pure part, and the whole over the API."""

from __future__ import annotations

import time
import tracemalloc
from datetime import timedelta
from functools import partial
from typing import Any
from uuid import UUID, uuid4

import msgspec

from billing.authorizations.domain.events import VisitCalculated
from billing.authorizations.models import Authorization
from billing.summaries.domain.document import SummaryDocument, SummaryHeading
from billing.summaries.domain.forms import cells_of, csv_text, forms_of
from billing.summaries.domain.rows import RowFacts, rows_of_visits, totals_of
from billing.summaries.selectors.export import row_facts
from practice.core.terms import Role
from practice.work import loading
from tests.bench.at_noon import finish, practice_at_noon, visited
from tests.builders import Built, ok
from tests.sessions.booking.http import key
from tests.sessions.people import tell


def build(*, visits: tuple[int, int], rounds: int) -> dict[str, Any]:
    """Seconds and bytes of memory at the most for each number of visits; the whole of the few.

    ``CSV``: the visits made rows and those written; ``csv alone``: Python's csv module over the
    finished cells, which is the limit.
    """
    built = practice_at_noon()
    client_id, authorization_id = visited(built)
    finish(built)
    (one,) = (
        found.data
        for found in loading.load_events(client_id)
        if isinstance(found.data, VisitCalculated)
    )
    facts = row_facts(Authorization.objects.get(pk=authorization_id))
    pure = []
    for count in visits:
        many = copies(one, count)
        acts = {
            "all forms": lambda many=many: all_forms(many, facts),
            "CSV": lambda many=many: csv_text(cells_of(document(many, facts))),
            "csv alone": partial(csv_text, list(cells_of(document(many, facts)))),
        }
        runs: dict[str, list[float]] = {name: [] for name in acts}
        for _ in range(rounds):
            for name, act in acts.items():
                runs[name].append(_seconds(act))
        pure.append({"visits": count, "seconds": runs, "bytes": _memory(many, facts)})
    tell(built, client_id, *copies(one, visits[0]))
    return {"pure": pure, "api": [_exported(built, authorization_id) for _ in range(rounds)]}


def copies(one: VisitCalculated, count: int) -> list[VisitCalculated]:
    """Visits of the days before, five on each so that all lie in the authorization's time."""
    return [
        msgspec.structs.replace(
            one, visit_id=uuid4(), local_date=one.local_date - timedelta(days=number % 50)
        )
        for number in range(count)
    ]


def document(visits: list[VisitCalculated], facts: RowFacts) -> SummaryDocument:
    """A summary of the visits."""
    rows = rows_of_visits(visits, facts)
    heading = SummaryHeading(
        summary_id=UUID(int=1),
        exported_on=visits[0].local_date,
        practice="",
        client="Rosa Marsh",
        birth_date=None,
        payer="Lakeshore",
        authorization_number="PA-1",
        member_id="LHP-1",
        authorized_from=visits[0].local_date,
        authorized_until=visits[0].local_date,
        ended_on=None,
        diagnoses=(),
        period_start=visits[0].local_date,
        period_end=visits[0].local_date,
    )
    return SummaryDocument(heading=heading, rows=rows, totals=totals_of(rows, visits, {}))


def all_forms(visits: list[VisitCalculated], facts: RowFacts) -> dict[str, str]:
    """The texts of a summary of the visits."""
    return forms_of(document(visits, facts))


def _memory(visits: list[VisitCalculated], facts: RowFacts) -> int:
    tracemalloc.start()
    all_forms(visits, facts)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return most


def _exported(built: Built, authorization_id: str) -> float:
    """One export as billing asks for it, and the file of it."""
    billing = built.api(Role.BILLING)
    path = f"authorizations/{authorization_id}/visit-summary"
    start = time.perf_counter()
    made = ok(
        billing.post(
            path,
            {"recipient": "Lakeshore", "purpose": "claim", "overrule": "Due today."},
            key=key(),
        ),
        201,
    )
    answer = billing.get(f"visit-summaries/{made['id']}", HTTP_ACCEPT="text/csv")
    seconds = time.perf_counter() - start
    assert answer.status_code == 200, answer.content[:500]
    return seconds


def _seconds(act: Any) -> float:
    start = time.perf_counter()
    assert act()
    return time.perf_counter() - start

"""Every operation succeeds for every role that may use it and answers as described; whatever
differs from a good request in one place is taken or refused as described, never a breakdown."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from unittest.mock import patch

import pytest

from practice.core.terms import Role
from practice.keys.keystore import keystore
from practice.work import request_cache
from tests.api.description import operations
from tests.api.query_counts import over_their_counts
from tests.bench.statements import asking, listening
from tests.builders import build_practice
from tests.conftest import FULL
from tests.harness.each_operation import Case, case_of, cases, taken_back, unlike_described
from tests.harness.fuzzing import PROBLEM
from tests.harness.variations import bodies, queries

pytestmark = [pytest.mark.django_db, pytest.mark.harness]
VARIED = 3
"""How many variations of each operation, as one role; at full length all of them."""


@contextmanager
def nothing_in_memory() -> Iterator[None]:
    """As in a new process. The keys that it opens are of now: none is over in the next minute."""
    keystore.invalidate()
    with patch.dict(request_cache._kept, clear=True):
        yield


class Table:
    """What came of each operation: the status as each role, and how many variations were sent."""

    def __init__(self) -> None:
        self.rows: dict[str, dict[str, int]] = {str(one): {} for one in operations()}
        self.faults: list[str] = []
        self.counts: dict[str, int] = {}

    def good(self, case: Case) -> None:
        """Send the worked request; its statements are those of a process that has answered the
        same before, and nothing else: not what other operations left in memory."""
        with nothing_in_memory():
            with taken_back():
                case.send()
            with listening() as heard:
                answer = case.send()
        self.rows[str(case.one)][case.role] = answer.status_code
        self.counts[str(case.one)] = max(self.counts.get(str(case.one), 0), asking(heard))
        if not 200 <= answer.status_code < 300:
            self.faults.append(f"{case}: {answer.status_code} {answer.content[:300]!r}")
        elif unlike := unlike_described(case.one, answer):
            self.faults.append(f"{case}: {unlike}")

    def varied(self, case: Case, number: int) -> None:
        """Send variations, others for each operation; what one of them writes is taken back."""
        reads = case.one.method == "GET"
        every: list[tuple[str, Any]] = list(queries(case.one) if reads else bodies(case.body))
        if not FULL:
            every = [every[(number * 7 + step * 11) % len(every)] for step in range(VARIED)]
        for what, sent in every:
            with taken_back():
                answer = case.asked(sent) if reads else case.send_instead(sent)
            self.rows[str(case.one)]["varied"] = self.rows[str(case.one)].get("varied", 0) + 1
            if answer.status_code >= 500:
                self.faults.append(f"{case}: {what}: {answer.status_code}")
            elif answer.status_code >= 400 and answer["Content-Type"] != PROBLEM:
                self.faults.append(f"{case}: {what}: refused with {answer['Content-Type']}")
            elif unlike := unlike_described(case.one, answer):
                self.faults.append(f"{case}: {what}: {unlike}")

    def __str__(self) -> str:
        """One line for each operation; a dot where the role may not."""
        columns = [role.value for role in Role] + ["varied"]
        lines = [
            f"{name:<42}" + "".join(f"{row.get(one, '.'):>14}" for one in columns)
            for name, row in sorted(self.rows.items())
        ]
        return "\n".join([f"{'':<42}" + "".join(f"{one:>14}" for one in columns), *lines])


def test_every_operation_succeeds_for_every_role_and_no_variation_breaks_it(db: None) -> None:
    built, table = build_practice(), Table()
    seen: set[str] = set()
    for number, (one, role) in enumerate(cases()):
        with case_of(built, one, role) as case:
            if str(one) not in seen:
                table.varied(case, number)
            seen.add(str(one))
            table.good(case)
    print(table)  # Shown with -s, and where the test fails.
    assert table.faults == []
    assert over_their_counts(table.counts) == {}
    assert seen == {str(one) for one in operations()}

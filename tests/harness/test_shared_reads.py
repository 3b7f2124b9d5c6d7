"""No operation changes the states that reads share, and every read answers from them as it
answered from the log."""

from __future__ import annotations

from typing import Any

import pytest

from practice.work.kept_states import kept_states
from practice.work.shared_states import FROZEN
from tests.builders import build_practice
from tests.harness.each_operation import case_of, cases, taken_back

pytestmark = [pytest.mark.django_db, pytest.mark.harness]


def _shared() -> dict[Any, tuple[Any, str]]:
    held = kept_states._held.items()
    return {key: (one.folded, repr(one.folded)) for key, (_, one) in held if FROZEN in key}


def _shown(answer: Any) -> Any:
    """What is shown; a cursor is encrypted anew each time."""
    if "json" not in answer["Content-Type"]:
        return answer.content
    found = answer.json()
    return {**found, "next": None, "next_cursor": None} if isinstance(found, dict) else found


def test_no_operation_changes_what_reads_share(db: None) -> None:
    built, seen, changed, unlike = build_practice(), set(), [], []
    first_role = {str(one): (one, role) for one, role in reversed(list(cases()))}
    for one, role in first_role.values():
        with case_of(built, one, role) as case:
            kept_states.clear()
            with taken_back():
                first = case.send()
            before = _shared()
            seen |= {key[2] for key in before}
            with taken_back():
                again = case.send()
            shown = {key: repr(state) for key, (state, _) in before.items()}
            changed += [(str(case), key) for key, (_, was) in before.items() if shown[key] != was]
            if before and one.method == "GET" and _shown(first) != _shown(again):
                unlike.append(str(case))
    assert changed == []
    assert unlike == []
    assert len(seen) > 10, "the reads of most slices are among them"

"""The table of provoked faults: what was not measured is no 0."""

from __future__ import annotations

from tests.harness.table import FaultRow, markdown


def test_a_dash_stands_for_what_was_not_measured_and_0_for_none_found() -> None:
    rows = [
        FaultRow("broker away", "refused", 3, 3, 0, 0, None),
        FaultRow("comparison", "writers", 5, 9, None, None, None),
    ]
    assert markdown(rows).splitlines()[2:] == [
        "| broker away | refused | 3 | 3 | 0 | 0 | – |",
        "| comparison | writers | 5 | 9 | – | – | – |",
    ]

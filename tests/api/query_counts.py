"""At most so many statements to PostgreSQL for each operation, sent as its worked example.

The walk over every operation (``tests/harness/test_each_operation.py``) compares: the most of all
roles that may send it, by a process that has answered the same before and keeps what it read of
the practice's rows. A new operation gets its line; one that needs more than its line says says
why in its commit.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Final

AT_MOST: Final[dict[str, int]] = json.loads(
    (Path(__file__).parent / "query_counts.json").read_text()
)


def over_their_counts(counted: Mapping[str, int]) -> dict[str, str]:
    """The operations that took more than they may, or stand in no line."""
    return {
        name: f"{count} statements, at most {AT_MOST.get(name, 'unknown')}"
        for name, count in counted.items()
        if count > AT_MOST.get(name, -1)
    }

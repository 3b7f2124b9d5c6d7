"""A practice prepared for the worked examples: what each of their ids stands for.

Each part says in ``THINGS`` how its things are made, and in ``BEFORE`` what must have happened
before an operation whose example asks for more than its things. A new part: a file beside these
and its name in ``PARTS``.
"""

from __future__ import annotations

from typing import Final

from tests.api.prepared import (
    billing,
    calendar,
    clients,
    co_signature,
    contacts,
    goals,
    incidents,
    notes,
    places,
    progress_notes,
    reminders,
    sessions,
)
from tests.api.prepared.calendar import someone_to_call
from tests.api.prepared.practice import BEFORE, NOW, THINGS, Prepared

__all__ = ["BEFORE", "NOW", "THINGS", "Prepared", "someone_to_call"]

PARTS: Final = (
    places,
    clients,
    contacts,
    calendar,
    sessions,
    notes,
    co_signature,
    incidents,
    goals,
    reminders,
    billing,
    progress_notes,
)

for _part in PARTS:
    _twice = (THINGS.keys() & _part.THINGS.keys()) | (BEFORE.keys() & _part.BEFORE.keys())
    assert not _twice, f"declared by two parts: {_twice}"
    THINGS.update(_part.THINGS)
    BEFORE.update(_part.BEFORE)

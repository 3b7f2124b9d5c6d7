"""Pins how the read tables are made: ``python -m tests.audit`` writes what is new.

Each golden payload is put through each projection that takes it, upon nothing and upon the rows
of each event that begins one; the digests of the outcomes stand in ``read_tables.json``. A digest
that changes means that rows of events on record are made in another way: the projection's
``version`` is raised, so that ``migrate`` and the health check say that a rebuild is due.
"""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from uuid import UUID

from practice.core.appspec import installed
from practice.core.events import Event, RecordedEvent, registry
from practice.core.projections import Projection
from practice.work.projection_runner import MemoryRows, run_projection
from practice.work.read_table_builds import column_names
from tests.golden import FOLDER, MANIFEST

PINNED = Path(__file__).resolve().parent / "read_tables.json"
STREAM = UUID(int=42)
AT = datetime(2026, 3, 2, 15, 0, tzinfo=UTC)

Pin = dict[str, Any]


def payloads() -> dict[str, Event]:
    """Every golden payload as the program reads it today, by ``name.version``."""
    found = {}
    for path in sorted(FOLDER.glob("*.json")):
        if path != MANIFEST:
            name, _, version = path.stem.rpartition(".v")
            payload = json.dumps(plausible(json.loads(path.read_text())))
            found[path.stem] = registry.decode(name, int(version), payload.encode())
    return found


def plausible(value: Any, name: str = "") -> Any:
    """A golden payload with what rows are made by: a zone, and places of reasons that are there."""
    if isinstance(value, dict):
        return {key: plausible(one, key) for key, one in value.items()}
    if isinstance(value, list):
        places = name in ("reasons", "cautions")
        return [0 if places and isinstance(one, int) else plausible(one) for one in value]
    return "America/New_York" if name == "zone" and value == "as written" else value


def rows_of(projection: Projection, *events: Event) -> dict[UUID, Any]:
    """The rows that some events stand for."""
    rows = MemoryRows(STREAM)
    run_projection(
        projection,
        rows,
        [
            RecordedEvent(number, STREAM, number, "", AT, AT, STREAM, "golden", event)
            for number, event in enumerate(events, start=1)
        ],
    )
    return rows.rows


def digest_of(rows: dict[UUID, Any]) -> str:
    """Sixteen characters that tell these rows from others."""
    text = json.dumps(rows_by_text(rows), sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def rows_by_text(rows: dict[UUID, Any]) -> dict[str, Any]:
    return {str(key): row for key, row in rows.items()}


def made(projection: Projection, given: dict[str, Event]) -> dict[str, str]:
    """The digest of what each payload leads to, by ``[beginning > ]payload``."""
    taken = {name: event for name, event in given.items() if type(event) in projection.handlers}
    begun = {name: event for name, event in taken.items() if rows_of(projection, event)}
    found = {name: digest_of(rows_of(projection, event)) for name, event in begun.items()}
    for first, beginning in begun.items():
        for name, event in taken.items():
            found[f"{first} > {name}"] = digest_of(rows_of(projection, beginning, event))
    return found


def as_made_now() -> dict[str, Pin]:
    """How every read table is made today, by its label."""
    given = payloads()
    return {
        name: {
            "version": one.version,
            "columns": column_names(one),
            "made": made(one, given),
        }
        for name, one in sorted(installed.projections.items())
    }


def unsaid(pinned: Pin, now: Pin) -> list[str]:
    """The payloads on record that now lead to other rows, though nothing says that a rebuild is
    due: neither a new column nor a new version."""
    gained = set(now["columns"]) - set(pinned["columns"])
    if gained or now["version"] > pinned["version"]:
        return []
    return [name for name, digest in pinned["made"].items() if now["made"].get(name) != digest]


def pin() -> list[str]:
    """Write the pins of today; returns the labels of what must be versioned first."""
    now = as_made_now()
    before = json.loads(PINNED.read_text()) if PINNED.exists() else {}
    wrong = [name for name in now if name in before and unsaid(before[name], now[name])]
    if not wrong:
        PINNED.write_text(json.dumps(now, indent=1) + "\n")
    return wrong

"""What a run of the benchmark is to measure, and how much of it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, kw_only=True)
class Size:
    """How much each bar builds and asks. ``each``: calls of one round."""

    each: int = 100
    streams: int = 200
    """Of the bars on records, and how long each is."""
    length: int = 200
    folded: int = 3_000
    whole_log: int = 500_000
    clients: tuple[int, int] = (1_000, 20_000)
    """Of a small and of a large practice."""
    events: int = 50
    """Of each client of those."""
    future_jobs: int = 1_000_000
    due_jobs: int = 10_000
    mails: int = 2_000
    practitioners: int = 30
    visits: tuple[int, int] = (2_000, 20_000)
    """Of a short and of a long export."""
    slow_seconds: float = 20.0
    """How long a slow body takes."""
    kept: int = 1_000
    """Clients whose states are kept."""
    lengths: tuple[int, ...] = (200, 1_000, 3_000, 10_000)
    """Of streams, for the curves."""
    crowds: tuple[int, ...] = (100, 1_000, 5_000)
    """Clients of a practice, for the curves."""


TINY = Size(
    each=8,
    streams=4,
    length=20,
    folded=50,
    whole_log=400,
    clients=(20, 60),
    events=5,
    future_jobs=1_000,
    due_jobs=20,
    mails=5,
    practitioners=3,
    visits=(20, 60),
    slow_seconds=1.0,
    kept=10,
    lengths=(10, 30),
    crowds=(5, 20),
)
"""Enough to see that every bar still runs."""


@dataclass(frozen=True, kw_only=True)
class Plan:
    """One run. ``url``: the database; ``folder``: for logs; ``pictures``: of curves."""

    url: str
    folder: Path
    pictures: Path
    rounds: int
    size: Size

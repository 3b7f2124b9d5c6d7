"""Streams of readings whose states will be kept by another process."""

from __future__ import annotations

from tests.bench.filling import fill
from tests.bench.real_readings import real_reading


def build(*, streams: int, length: int) -> int:
    """How many there are."""
    return len(fill(streams, length, real_reading))

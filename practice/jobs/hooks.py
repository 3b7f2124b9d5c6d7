"""What features above do with every tick, beside the jobs that are due."""

from __future__ import annotations

import logging
from collections.abc import Callable

from practice.core.appspec import ExtensionPoint

log = logging.getLogger(__name__)

EACH_TICK = ExtensionPoint[Callable[[], object]]("each tick")
"""``step()``: short work outside any transaction; it may run any number of times."""


def each_tick() -> None:
    """Take every step; one that fails is logged and stops neither the others nor the jobs."""
    for step in EACH_TICK.answers:
        try:
            step()
        except Exception:
            log.exception("a step of the tick failed")

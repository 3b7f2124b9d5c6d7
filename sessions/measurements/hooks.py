"""What is measured, read from what a device sent, for services that take it with something else."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from practice.core.appspec import ExtensionPoint


@dataclass(frozen=True)
class SentMeasurement:
    """``kind``: as devices name it, e.g. ``readings``; ``read``: the command of what was sent.
    It raises Rejected 400 with what cannot be, by field."""

    kind: str
    read: Callable[[Mapping[str, Any]], dict[str, Any]]


SENT_MEASUREMENTS = ExtensionPoint[SentMeasurement]("what is measured, as it is sent")


def read_sent(kind: str, sent: Mapping[str, Any]) -> dict[str, Any]:
    """The command of something measured that was sent. Raises Rejected 400."""
    (found,) = (one for one in SENT_MEASUREMENTS.answers if one.kind == kind)
    return found.read(sent)

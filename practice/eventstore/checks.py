"""Checks at start-up that every event can be folded and read for ever."""

from __future__ import annotations

from typing import Any

from django.core.checks import CheckMessage, Error

from practice.core.decisions import installed
from practice.core.events import registry


def check_installed(app_configs: Any = None, **_: Any) -> list[CheckMessage]:
    """System check: no event type without a slice, no gap in a chain of upcasters."""
    unhandled = sorted(installed.unhandled(set(registry.by_class)), key=lambda one: one.__name__)
    problems: list[CheckMessage] = [
        Error(
            f"No slice folds {registry.by_class[cls].name} and it is not ignored.",
            hint="Give a slice a handler of it or add it to `installed.ignored`.",
            id="eventstore.E002",
        )
        for cls in unhandled
    ]
    problems.extend(
        Error(f"{gap}.", hint="Register it with @upcaster.", id="eventstore.E003")
        for gap in registry.missing_upcasters()
    )
    return problems

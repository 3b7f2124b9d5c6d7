"""What the program needs in order to serve, looked at part by part.

Each part is a word; what is wrong is also a warning, a sentence without any name.
"""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from typing import Any, Final

import msgspec
from django.conf import settings
from django.db import connections

from practice.clock import clock
from practice.core.appspec import ExtensionPoint, installed
from practice.core.events import UnknownEventVersion, registry
from practice.core.projections import Projection
from practice.eventstore import store
from practice.eventstore.models import StoredEvent, StreamHead
from practice.jobs import selectors
from practice.keys.keystore import UnreadableRecordError
from practice.work.clock_check import clock_ahead
from practice.work.projection_runner import model_of, replay_projections
from practice.work.read_table_builds import HOW, rebuilds_due

MEGABYTE: Final = 1_000_000
SAMPLES: Final = 3
TABLES_SECONDS: Final = 60.0
"""Tables that were found in order are looked at again after so long."""


class HealthSettings(msgspec.Struct, frozen=True):
    """Group ``health``: from where on the health check warns."""

    full_disk_megabytes: int
    low_disk_megabytes: int
    late_minutes: int
    clock_seconds: int


HEALTH_SETTINGS = ExtensionPoint[Callable[[], HealthSettings]]("settings of the health check")
"""Answered by the feature that reads settings, which stands above this one."""

READINESS_CHECKS = ExtensionPoint[Callable[[], Sequence[str]]]("readiness checks")
"""``check()``: what keeps the program from answering requests, each as a sentence."""
UNKNOWN: Final[dict[str, Any]] = {
    **dict.fromkeys(("jobs", "ticks", "disk", "read_tables", "clock"), "unknown"),
    **dict.fromkeys(("oldest_due_seconds", "given_up_jobs", "failing_jobs", "free_megabytes")),
}
"""The parts before they are looked at."""


@dataclass
class Readiness:
    """What was found. ``problems``: requests cannot be served as they should."""

    parts: dict[str, Any] = field(default_factory=lambda: dict(UNKNOWN))
    warnings: list[str] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)

    def say(self, part: str, word: str, text: str = "", *, fatal: bool = False) -> None:
        """One part as a word, and what is wrong with it as a sentence."""
        self.parts[part] = word
        if text:
            (self.problems if fatal else self.warnings).append(text)


def look() -> Readiness:
    """Every part that needs the database. Raises django.db.Error where it is away."""
    found = Readiness()
    found.problems += [text for check in READINESS_CHECKS.answers for text in check()]
    if found.problems:
        return found  # Among them may be the settings that the rest is looked at by.
    limits = HEALTH_SETTINGS.answers[0]()
    _look_at_jobs(found, limits)
    _look_at_disk(found, limits)
    _look_at_tables(found)
    _look_at_clock(found, limits)
    return found


def _look_at_jobs(found: Readiness, limits: HealthSettings) -> None:
    now, late = clock.now(), timedelta(minutes=limits.late_minutes)
    oldest, tick = selectors.oldest_overdue(now), selectors.last_tick()
    age = now - oldest if oldest else None
    is_late = age is not None and age > late
    found.say("jobs", "late" if is_late else "ok", "Due work is late." if is_late else "")
    missed = tick is None or now - tick > late
    text = "No worker has looked for due work: start a worker and the beat." if missed else ""
    found.say("ticks", "missed" if missed else "ok", text)
    given_up, failing = selectors.abandoned_jobs().count(), selectors.failing_jobs().count()
    found.parts |= {
        "oldest_due_seconds": int(age.total_seconds()) if age is not None else None,
        "given_up_jobs": given_up,
        "failing_jobs": failing,
    }
    if given_up:
        found.warnings.append(
            f"Work was given up ({given_up}): see GET /jobs, then POST /jobs/putting-back."
        )
    if failing:
        found.warnings.append(f"Work failed and is tried again ({failing}): see GET /jobs.")


def _look_at_disk(found: Readiness, limits: HealthSettings) -> None:
    free = min(shutil.disk_usage(folder).free for folder in folders()) // MEGABYTE
    found.parts["free_megabytes"] = free
    if free < limits.full_disk_megabytes:
        found.say("disk", "full", f"The disk is full: {free} MB are free.", fatal=True)
    elif free < limits.low_disk_megabytes:
        found.say("disk", "low", f"The disk is nearly full: {free} MB are free.")
    else:
        found.say("disk", "ok")


def folders() -> set[Path]:
    """Where the program keeps files: its own folder, and those of SQLite databases."""
    files = [
        Path(one.settings_dict["NAME"]).parent
        for one in connections.all()
        if one.vendor == "sqlite"
    ]
    return {one for one in (settings.VAR, *files) if one.is_dir()}


class TablesCheck:
    """When this process last found the read tables in order, by its monotonic clock."""

    at = float("-inf")


tables_check = TablesCheck()


def _look_at_tables(found: Readiness) -> None:
    if time.monotonic() - tables_check.at < TABLES_SECONDS:
        found.say("read_tables", "ok")
        return
    emptied = list(emptied_tables())
    if emptied:
        text = f"Read tables are empty and the log is not: {', '.join(emptied)}. Run rebuild."
        found.say("read_tables", "emptied", text, fatal=True)
        return
    if due := rebuilds_due():
        found.say("read_tables", "rebuild_due", f"A rebuild is due: {'; '.join(due)}. {HOW}")
        return
    tables_check.at = time.monotonic()
    found.say("read_tables", "ok")


def emptied_tables() -> Iterator[str]:
    """The read tables without a row of which the log says that they have some.

    A table may be empty by right (everything in it was taken back): some streams with events
    for it are projected to tell.
    """
    for projection in installed.projections.values():
        model = model_of(projection)
        if not model._default_manager.exists() and _has_rows_by_the_log(projection):
            yield projection.name


def _has_rows_by_the_log(projection: Projection) -> bool:
    of_it = StoredEvent.objects.filter(type__in=registry.names(projection.handles))
    streams = list(of_it.order_by().values_list("stream", flat=True).distinct()[:SAMPLES])
    for head in StreamHead.objects.filter(stream__in=streams):
        try:
            events = store.load(head.stream, start=head.starts_at_version)
        except (UnreadableRecordError, UnknownEventVersion):
            continue  # Named by the checks of the log; here only the tables are in question.
        if replay_projections(head.stream, events)[projection.name]:
            return True
    return False


def _look_at_clock(found: Readiness, limits: HealthSettings) -> None:
    most = timedelta(seconds=limits.clock_seconds)
    ahead = clock_ahead()
    last = StoredEvent.objects.order_by("-position").values_list("recorded_at", flat=True).first()
    if abs(ahead) > most:
        seconds = round(ahead.total_seconds())
        found.say("clock", "off", f"This server's clock differs from the database's: {seconds} s.")
    elif last is not None and last - clock.now() > most:
        seconds = round((last - clock.now()).total_seconds())
        found.say("clock", "off", f"The last event lies {seconds} s ahead of this server's clock.")
    else:
        found.say("clock", "ok")

"""What the specs leave open among themselves: events, slices, read tables, texts, jobs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from importlib import import_module
from pathlib import Path

from practice.core.appspec import AppSpec
from practice.core.dispatch import Dispatch, events_of
from practice.core.events import registry


def find(specs: Sequence[AppSpec]) -> Iterator[str]:
    """Every gap as a sentence."""
    for spec in specs:
        yield from _modules_of_events(spec)
    yield from _named_twice(specs)
    yield from _unfolded(specs)
    yield from registry.missing_upcasters()
    for table in dispatches(specs):
        yield from table.gaps()
    yield from _jobs(specs)


def dispatches(specs: Sequence[AppSpec]) -> list[Dispatch]:
    """Every table of handlers by class of event that the specs bring."""
    return [
        one
        for spec in specs
        for one in (*spec.slices, *spec.projections, *spec.event_texts, *spec.job_plans)
    ]


def _on_disk(app: str) -> set[str]:
    """The modules of events that stand in an app's features; a folder counts with its files."""
    root = Path(next(iter(import_module(app).__path__)))
    files = [*root.glob("*/domain/events.py"), *root.glob("*/domain/events/[!_]*.py")]
    return {".".join((app, *one.relative_to(root).with_suffix("").parts)) for one in files}


def _modules_of_events(spec: AppSpec) -> Iterator[str]:
    """Modules of events against the files of the app and against the events known."""
    named = {module.__name__ for module in spec.events}
    known = {
        cls.__module__ for cls in registry.by_class if cls.__module__.startswith(f"{spec.name}.")
    }
    for name in sorted((_on_disk(spec.name) | known) - named):
        yield f"{spec.name} has events in {name}, which its spec does not name"
    for module in spec.events:
        if not module.__name__.startswith(f"{spec.name}."):
            yield f"{spec.name} names {module.__name__}, which is of another app"
        if not events_of(module):
            yield f"{spec.name} names {module.__name__}, which defines no event"


def _named_twice(specs: Sequence[AppSpec]) -> Iterator[str]:
    """Names that must be given once in all."""
    for what, names in (
        ("slices", [one.name for spec in specs for one in spec.slices]),
        ("projections of", [one.name for spec in specs for one in spec.projections]),
        ("structs of the settings", [group for spec in specs for group in spec.settings]),
        ("sections of the record", [one for spec in specs for one in spec.record_sections]),
        ("owners of", [one for spec in specs for one in spec.owners_of_ids]),
        ("reactors", [one.name for spec in specs for one in spec.reactors]),
    ):
        for name in _twice(names):
            yield f"two {what} {name}"


def _twice(names: Iterable[str]) -> list[str]:
    return sorted(name for name, times in Counter(names).items() if times > 1)


def _unfolded(specs: Sequence[AppSpec]) -> Iterator[str]:
    """Events without a stable name, and events that no slice folds and none ignores."""
    slices = [slice_ for spec in specs for slice_ in spec.slices]
    folded = {cls for slice_ in slices for cls in (*slice_.handles, *slice_.ignores)}
    events = {cls for spec in specs for module in spec.events for cls in events_of(module)}
    for cls in sorted(events, key=lambda one: (one.__module__, one.__name__)):
        if cls not in registry.by_class:
            yield f"{cls.__module__}.{cls.__name__} is an event without a name: @event is missing"
        elif cls not in folded:
            yield f"no slice folds {cls.__module__}.{cls.__name__} and none ignores it"


def _jobs(specs: Sequence[AppSpec]) -> Iterator[str]:
    """Kinds of jobs against who does them."""
    kinds = [one.name for spec in specs for one in spec.job_kinds]
    planned = set(kinds)
    done = [
        kind
        for spec in specs
        for kind in (*spec.job_handlers, *spec.job_deliveries, *spec.job_handovers)
    ]
    for kind in sorted(planned - set(done)):
        yield f"jobs of kind {kind} are planned and nobody handles or delivers them"
    for kind in sorted(set(done) - planned):
        yield f"jobs of kind {kind} are handled and nobody plans them"
    for kind in _twice(kinds):
        yield f"jobs of kind {kind} are declared by two"
    delivered = {kind for spec in specs for kind in spec.job_deliveries}
    for one in (one for spec in specs for one in spec.job_kinds):
        if one.together > 1 and one.name in delivered:
            yield f"jobs of kind {one.name} are delivered: each by itself, none together"
    for kind in _twice(done):
        yield f"jobs of kind {kind} are handled or delivered by two"

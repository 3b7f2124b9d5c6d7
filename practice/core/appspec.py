"""What an app brings, said in one declaration, and what the running program has of them all.

``<app>/spec.py`` holds ``APP = AppSpec(…)``. ``practice.startup`` installs the list that the
settings name, in its order, or refuses to start. Nothing registers itself by being imported.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from types import ModuleType
from typing import Any, Generic, NamedTuple, TypeVar
from uuid import UUID

from practice.core.decisions import Advisory, JobPlan, Reactor, RetainedFacts, Slice
from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent
from practice.core.jobs import JobHandover, JobKind
from practice.core.projections import Projection

A = TypeVar("A")

JobHandler = Callable[[Any, Any], None]
JobDelivery = Callable[[Any], None]


@dataclass(frozen=True, eq=False)
class ExtensionPoint(Generic[A]):
    """A question that a lower feature asks and features above it answer.

    The lower feature makes the point and asks ``answers``; a spec above brings
    ``extensions=(POINT.by(answer), …)``.
    """

    name: str

    def by(self, *answers: A) -> Extension:
        """The answers that one app brings, for its spec."""
        return Extension(self, answers)

    @property
    def answers(self) -> tuple[A, ...]:
        """What the installed apps brought, in the order of their specs."""
        return installed.extensions.get(self, ())


class Extension(NamedTuple):
    """What one app answers at an extension point."""

    point: ExtensionPoint[Any]
    answers: tuple[Any, ...]


class RecordSection(NamedTuple):
    """A part of the record as known on a day: its slice, and how its state is shown (JSON)."""

    slice: Slice[Any, Any]
    show: Callable[[Any], Any]


@dataclass(frozen=True, kw_only=True)
class AppSpec:
    """Everything that one app brings. What runs in turn runs in the order given here.

    - ``name``: its package; ``events``: its modules of events.
    - ``reactors``, ``advisories``, ``after_append`` (steps after the append, given the stored
      events): run within the transaction of the events; what they raise undoes it all.
    - ``job_kinds``: the kinds of jobs that its plans and services write, each with whether it
      must happen and what it gives way to; ``job_handlers`` and ``job_deliveries``: by kind,
      ``handle(uow, job)`` within the transaction that marks the job done, ``deliver(job)``
      outside any; ``job_handovers``: by kind, how small things go out several at a time.
    - ``settings``: the struct of each group. ``record_sections``: by name.
    - ``owners_of_ids``: for the name of an id in an address, the label of the model whose row
      of that id has the ``client_id``; ``practice_ids``: names of ids that are of no client.
    - ``erasables``: called with the id of a client whose record is being closed.
      ``working_documents``: labels of tables emptied then by ``client_id``; ``kept_tables``:
      labels of tables with a ``client_id`` that an erasure leaves alone, said aloud.
    """

    name: str
    events: tuple[ModuleType, ...] = ()
    slices: tuple[Slice[Any, Any], ...] = ()
    projections: tuple[Projection, ...] = ()
    reactors: tuple[Reactor, ...] = ()
    advisories: tuple[Advisory, ...] = ()
    after_append: tuple[Callable[[Sequence[RecordedEvent]], None], ...] = ()
    job_plans: tuple[JobPlan, ...] = ()
    job_kinds: tuple[JobKind, ...] = ()
    job_handlers: Mapping[str, JobHandler] = field(default_factory=dict)
    job_deliveries: Mapping[str, JobDelivery] = field(default_factory=dict)
    job_handovers: Mapping[str, JobHandover] = field(default_factory=dict)
    settings: Mapping[str, type[Any]] = field(default_factory=dict)
    event_texts: tuple[EventTexts, ...] = ()
    record_sections: Mapping[str, RecordSection] = field(default_factory=dict)
    owners_of_ids: Mapping[str, str] = field(default_factory=dict)
    practice_ids: tuple[str, ...] = ()
    erasables: tuple[Callable[[UUID], None], ...] = ()
    working_documents: tuple[str, ...] = ()
    kept_tables: tuple[str, ...] = ()
    retained_facts: tuple[RetainedFacts, ...] = ()
    extensions: tuple[Extension, ...] = ()


@dataclass
class Installed:
    """What the specs brought together; the fields are those of AppSpec."""

    slices: dict[str, Slice[Any, Any]] = field(default_factory=dict)
    projections: dict[str, Projection] = field(default_factory=dict)
    reactors: list[Reactor] = field(default_factory=list)
    advisories: list[Advisory] = field(default_factory=list)
    after_append: list[Callable[[Sequence[RecordedEvent]], None]] = field(default_factory=list)
    job_plans: list[JobPlan] = field(default_factory=list)
    job_kinds: dict[str, JobKind] = field(default_factory=dict)
    job_handlers: dict[str, JobHandler] = field(default_factory=dict)
    job_deliveries: dict[str, JobDelivery] = field(default_factory=dict)
    job_handovers: dict[str, JobHandover] = field(default_factory=dict)
    settings: dict[str, type[Any]] = field(default_factory=dict)
    event_texts: list[EventTexts] = field(default_factory=list)
    record_sections: dict[str, RecordSection] = field(default_factory=dict)
    owners_of_ids: dict[str, str] = field(default_factory=dict)
    erasables: list[Callable[[UUID], None]] = field(default_factory=list)
    working_documents: list[str] = field(default_factory=list)
    retained_facts: list[RetainedFacts] = field(default_factory=list)
    extensions: dict[ExtensionPoint[Any], tuple[Any, ...]] = field(default_factory=dict)

    def fill(self, specs: Sequence[AppSpec]) -> None:
        """Hold what these specs bring and nothing else; their gaps were looked for before."""
        vars(self).update(vars(Installed()))  # empty again, and still the one object
        for spec in specs:
            self.slices.update({one.name: one for one in spec.slices})
            self.projections.update({one.name: one for one in spec.projections})
            self.reactors.extend(spec.reactors)
            self.advisories.extend(spec.advisories)
            self.after_append.extend(spec.after_append)
            self.job_plans.extend(spec.job_plans)
            self.job_kinds.update({one.name: one for one in spec.job_kinds})
            self.job_handlers.update(spec.job_handlers)
            self.job_deliveries.update(spec.job_deliveries)
            self.job_handovers.update(spec.job_handovers)
            self.settings.update(spec.settings)
            self.event_texts.extend(spec.event_texts)
            self.record_sections.update(spec.record_sections)
            self.owners_of_ids.update(spec.owners_of_ids)
            self.erasables.extend(spec.erasables)
            self.working_documents.extend(spec.working_documents)
            self.retained_facts.extend(spec.retained_facts)
            for point, answers in spec.extensions:
                self.extensions[point] = (*self.extensions.get(point, ()), *answers)


installed = Installed()

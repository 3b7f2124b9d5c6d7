"""Every gap in what the apps declare, made once: the installation raises and names it."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from copy import copy
from dataclasses import replace
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from django.conf import settings
from django.test import override_settings
from django.urls import path
from django.views.defaults import page_not_found

from clients.reminders.services.sending import SENDING
from practice.core.appspec import AppSpec, ExtensionPoint, RecordSection, installed
from practice.core.event_texts import EventTexts
from practice.core.events import Event, event, registry
from practice.core.jobs import JobKind
from practice.core.projections import Projection
from practice.startup.install import IncompleteSpecs, check_addresses, install, load_specs

SPECS = load_specs(settings.APP_SPECS)
PRACTICE, CLIENTS, SESSIONS, BILLING = range(4)
UNKNOWN_TO_AN_ERASURE = (
    "has a client_id and is neither a read table nor named as a working document or as kept"
)


def changed(app: int, **changes: Any) -> tuple[AppSpec, ...]:
    """The program's specs with something of one app changed."""
    return (*SPECS[:app], replace(SPECS[app], **changes), *SPECS[app + 1 :])


def without(app: int, name: str, unwanted: object) -> tuple[AppSpec, ...]:
    """The program's specs without one thing of one app."""
    held = getattr(SPECS[app], name)
    if isinstance(held, tuple):
        return changed(app, **{name: tuple(one for one in held if one != unwanted)})
    return changed(app, **{name: {key: held[key] for key in held if key != unwanted}})


def more(app: int, name: str, wanted: Any) -> tuple[AppSpec, ...]:
    """The program's specs with one thing more in one app."""
    held = getattr(SPECS[app], name)
    added = (*held, wanted) if isinstance(held, tuple) else {**held, **wanted}
    return changed(app, **{name: added})


def _start(specs: tuple[AppSpec, ...]) -> None:
    """As a web process does; the addresses first, so that with a gap nothing is installed."""
    check_addresses(specs)
    install(specs)


def refused(specs: tuple[AppSpec, ...]) -> tuple[str, ...]:
    """The gaps of some specs; nothing of them is installed."""
    before = copy(installed)
    with pytest.raises(IncompleteSpecs) as refusal:
        _start(specs)
    assert installed == before
    assert all(gap in str(refusal.value) for gap in refusal.value.gaps)
    return refusal.value.gaps


def test_the_programs_own_specs_have_no_gap_and_may_be_installed_again() -> None:
    before = copy(installed)
    install(SPECS)
    assert installed == before


def test_reactors_run_in_the_order_of_specs_and_in_each_as_written() -> None:
    written = [one.name for spec in SPECS for one in spec.reactors]
    assert [one.name for one in installed.reactors] == written
    assert written[-1] == "calculate a visit"


@pytest.fixture
def toy_events() -> Iterator[ModuleType]:
    """A module of the practice with one event, known to the program for a test."""
    name = "practice.toys.domain.events"
    made = ModuleType(name)

    class Toyed(Event, frozen=True, kw_only=True):
        pass

    Toyed.__module__, Toyed.__qualname__ = name, "Toyed"
    made.Toyed = event("toy.toyed")(Toyed)  # type: ignore[attr-defined]
    sys.modules[name] = made
    yield made
    del sys.modules[name], registry.by_name["toy.toyed"], registry.by_class[Toyed]


def test_a_module_of_events_that_no_spec_names(toy_events: ModuleType) -> None:
    assert refused(SPECS) == (
        "practice has events in practice.toys.domain.events, which its spec does not name",
    )
    (module, *others) = SPECS[BILLING].events
    gaps = refused(changed(BILLING, events=tuple(others)))
    assert f"billing has events in {module.__name__}, which its spec does not name" in gaps


def test_a_module_of_events_on_disk_that_nobody_imported(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for feature in ("swings", "slides"):
        (tmp_path / "playground" / feature / "domain").mkdir(parents=True)
        (tmp_path / "playground" / feature / "domain" / "events.py").touch()
    (tmp_path / "playground" / "__init__.py").touch()
    monkeypatch.syspath_prepend(tmp_path)
    assert refused((*SPECS, AppSpec(name="playground"))) == tuple(
        f"playground has events in playground.{one}.domain.events, which its spec does not name"
        for one in ("slides", "swings")
    )


def test_a_module_that_a_spec_names_without_an_event_in_it_or_of_another_app() -> None:
    empty = ModuleType("billing.toys.domain.events")
    assert refused(more(BILLING, "events", empty)) == (
        "billing names billing.toys.domain.events, which defines no event",
    )
    gaps = refused(more(BILLING, "events", SPECS[CLIENTS].events[0]))
    assert gaps == ("billing names clients.identity.domain.events, which is of another app",)


def test_an_event_that_no_slice_folds_and_none_ignores(toy_events: ModuleType) -> None:
    assert refused(more(PRACTICE, "events", toy_events)) == (
        "no slice folds practice.toys.domain.events.Toyed and none ignores it",
    )


def test_an_event_without_a_name(toy_events: ModuleType) -> None:
    cls: Any = toy_events.Toyed
    known = registry.by_class.pop(cls)
    try:
        gaps = refused(more(PRACTICE, "events", toy_events))
    finally:
        registry.by_class[cls] = known
    assert gaps == (
        "practice.toys.domain.events.Toyed is an event without a name: @event is missing",
    )


def test_a_chain_of_upcasters_with_a_gap(monkeypatch: pytest.MonkeyPatch) -> None:
    known = registry.by_name["client.registered"]
    gap = known.version
    monkeypatch.setattr(known, "version", gap + 2)
    monkeypatch.setitem(known.upcasters, gap + 1, dict)
    assert refused(SPECS) == (f"client.registered: no upcaster from version {gap}",)


def test_a_table_of_handlers_that_forgets_an_event_of_what_it_watches(
    toy_events: ModuleType,
) -> None:
    texts: EventTexts = EventTexts("texts of toys", watches=(toy_events,))
    gaps = refused(more(PRACTICE, "event_texts", texts))
    sentence = (
        "EventTexts texts of toys neither handles nor ignores practice.toys.domain.events.Toyed"
    )
    assert sentence in gaps


def test_a_table_of_handlers_takes_no_more_once_it_is_installed() -> None:
    texts = EventTexts("nothing")
    try:
        install(more(PRACTICE, "event_texts", texts))
    finally:
        install(SPECS)
    cls = SPECS[CLIENTS].slices[0].handles[0]
    with pytest.raises(ValueError, match="comes too late"):
        texts.on(cls)(lambda event, meta: "too late")


def test_a_read_table_without_a_projection_and_a_projection_without_a_table() -> None:
    first, *others = SPECS[BILLING].projections
    gaps = refused(changed(BILLING, projections=tuple(others)))
    assert gaps == (f"the read table {first.name} has no projection",)
    for label in ("billing.Nothing", "practice.Staff"):
        assert refused(more(BILLING, "projections", Projection(label))) == (
            f"a projection keeps {label}, which is no read table",
        )


@pytest.mark.parametrize(
    ("specs", "sentence"),
    [
        (
            lambda: more(SESSIONS, "projections", SPECS[BILLING].projections[0]),
            "two projections of billing.SelfPayStatement",
        ),
        (lambda: more(BILLING, "slices", SPECS[SESSIONS].slices[0]), "two slices calendar"),
        (
            lambda: more(BILLING, "settings", {"access": SPECS[PRACTICE].settings["access"]}),
            "two structs of the settings access",
        ),
        (
            lambda: more(BILLING, "reactors", SPECS[SESSIONS].reactors[0]),
            "two reactors sessions.reevaluate",
        ),
        (
            lambda: more(
                BILLING,
                "record_sections",
                {"notes": RecordSection(SPECS[BILLING].slices[0], str)},
            ),
            "two sections of the record notes",
        ),
        (
            lambda: more(BILLING, "owners_of_ids", {"session_id": "client_sessions.Session"}),
            "two owners of session_id",
        ),
        (
            lambda: without(SESSIONS, "job_handlers", "recheck"),
            "jobs of kind recheck are planned and nobody handles or delivers them",
        ),
        (
            lambda: without(PRACTICE, "job_kinds", JobKind(name="nightly", must_happen=True)),
            "jobs of kind nightly are handled and nobody plans them",
        ),
        (
            lambda: more(BILLING, "job_kinds", JobKind(name="nightly", must_happen=False)),
            "jobs of kind nightly are declared by two",
        ),
        (
            lambda: more(SESSIONS, "job_deliveries", {"reevaluate_client": print}),
            "jobs of kind reevaluate_client are handled or delivered by two",
        ),
        (
            lambda: more(BILLING, "job_handlers", {"recheck": print}),
            "jobs of kind recheck are handled or delivered by two",
        ),
        (
            lambda: more(BILLING, "job_handovers", {"send_reminder": SENDING}),
            "jobs of kind send_reminder are handled or delivered by two",
        ),
        (
            lambda: changed(
                PRACTICE,
                job_kinds=tuple(
                    replace(one, together=2) if one.name == "nightly" else one
                    for one in SPECS[PRACTICE].job_kinds
                ),
            ),
            "jobs of kind nightly are delivered: each by itself, none together",
        ),
        (
            lambda: without(SESSIONS, "settings", "doses"),
            "the settings doses are shipped and no spec names their struct",
        ),
        (
            lambda: more(BILLING, "settings", {"toys": int}),
            "a spec names the struct of the settings toys, which are not shipped",
        ),
        (
            lambda: without(SESSIONS, "owners_of_ids", "recheck_id"),
            "no spec says whose record recheck_id in an address belongs to",
        ),
        (
            lambda: without(BILLING, "practice_ids", "payer_id"),
            "no spec says whose record payer_id in an address belongs to",
        ),
        (
            lambda: more(SESSIONS, "practice_ids", "session_id"),
            "session_id is said to be a client's and the practice's own",
        ),
        (
            lambda: more(BILLING, "practice_ids", "toy_id"),
            "a spec names toy_id, which stands in no address",
        ),
        (
            lambda: more(SESSIONS, "working_documents", "client_sessions.Toy"),
            "sessions names the table client_sessions.Toy, and there is no such model",
        ),
        (
            lambda: more(SESSIONS, "working_documents", "practice.Facility"),
            "sessions names the table practice.Facility, which has no client_id",
        ),
        (
            lambda: without(SESSIONS, "working_documents", "client_sessions.NoteDraft"),
            f"client_sessions.NoteDraft {UNKNOWN_TO_AN_ERASURE}",
        ),
        (
            lambda: without(PRACTICE, "kept_tables", "practice.AccessEntry"),
            f"practice.AccessEntry {UNKNOWN_TO_AN_ERASURE}",
        ),
    ],
)
def test_each_other_gap_is_named_alone(
    specs: Callable[[], tuple[AppSpec, ...]], sentence: str
) -> None:
    assert refused(specs()) == (sentence,)


def test_a_new_address_with_an_id_that_nobody_knows() -> None:
    from practice.urls import urlpatterns

    made = ModuleType("tests.urls_with_a_gap")
    toys = path("toys/<uuid:toy_id>", page_not_found)
    made.urlpatterns = [*urlpatterns, toys]  # type: ignore[attr-defined]
    sys.modules[made.__name__] = made
    try:
        with override_settings(ROOT_URLCONF=made.__name__):
            gaps = refused(SPECS)
    finally:
        del sys.modules[made.__name__]
    assert gaps == ("no spec says whose record toy_id in an address belongs to",)


def test_an_extension_point_gives_the_answers_in_the_order_of_specs() -> None:
    point = ExtensionPoint[int]("toy numbers")
    first = changed(CLIENTS, extensions=(point.by(1, 2),))
    try:
        install((*first[:-1], replace(SPECS[BILLING], extensions=(point.by(3),))))
        answers = point.answers
    finally:
        install(SPECS)
    assert (answers, point.answers) == ((1, 2, 3), ())

"""Every event ever written stays readable: golden payloads and their manifest."""

import json
from collections.abc import Iterator
from typing import Any, get_args, get_type_hints

import msgspec
import pytest

from clients.health.domain.content import HistoryContent
from clients.identity.domain.contact import Phone
from clients.orders.domain.order import MedicalOrder
from practice.core.confirmation import ConfirmedWarning
from practice.core.events import registry
from practice.core.reasons import Reason
from sessions.calendar.domain.stretch_groups import StretchGroup
from sessions.calendar.domain.terms import PermissionsSnapshot
from sessions.catalogue.domain.terms import Dose
from sessions.notes.domain.terms import CardioWork
from tests.golden import FOLDER, MANIFEST, digest_of, path_of

VOCABULARY = {
    one.__module__
    for one in (
        CardioWork,
        ConfirmedWarning,
        Dose,
        HistoryContent,
        MedicalOrder,
        Phone,
        Reason,
        StretchGroup,
        PermissionsSnapshot,
    )
}
"""The words of the record, which events and rules share; all else a payload declares itself."""
FILES = sorted(path for path in FOLDER.glob("*.json") if path != MANIFEST)


def test_every_registered_event_has_an_example_of_its_newest_version() -> None:
    missing = [path_of(one).name for one in registry.by_name.values() if not path_of(one).exists()]
    assert missing == [], "run `python -m tests.golden`"


def test_no_example_was_changed_added_or_lost_behind_the_manifest() -> None:
    manifest = json.loads(MANIFEST.read_text())
    assert manifest == {path.name: digest_of(path) for path in FILES}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_example_reads_as_the_newest_version(path) -> None:
    name, _, version = path.stem.rpartition(".v")
    payload = path.read_bytes()
    event = registry.decode(name, int(version), payload)
    assert type(event) is registry.by_name[name].cls
    if int(version) == registry.by_name[name].version:
        assert json.loads(registry.encode(event)) == json.loads(payload)


def structs_in(annotation: Any) -> Iterator[type[msgspec.Struct]]:
    if isinstance(annotation, type) and issubclass(annotation, msgspec.Struct):
        yield annotation
        for hint in get_type_hints(annotation).values():
            yield from structs_in(hint)
    for one in get_args(annotation):
        yield from structs_in(one)


def test_payloads_hold_structs_of_event_modules_and_no_inputs_of_rules() -> None:
    modules = {one.cls.__module__ for one in registry.by_name.values()} | VOCABULARY
    strange = {
        f"{entry.cls.__name__}: {found.__module__}.{found.__name__}"
        for entry in registry.by_name.values()
        for found in structs_in(entry.cls)
        if found.__module__ not in modules
    }
    assert strange == set()

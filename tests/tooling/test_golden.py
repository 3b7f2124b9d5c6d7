"""Every event ever written stays readable: golden payloads and their manifest."""

import json

import pytest

from practice.domain.events import registry
from tests.golden import FOLDER, MANIFEST, digest_of, path_of

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

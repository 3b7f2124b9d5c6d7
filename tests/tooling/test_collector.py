"""What start-up made, and the events of a record, are left out of the collection of cycles."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from practice.core.events import registry

ROOT = Path(__file__).resolve().parents[2]
AFTER_START = {
    "server": "import practice.wsgi",
    "worker": (
        "import practice.celery as one; one.app.loader.import_default_modules();"
        " from celery.signals import worker_init; worker_init.send(one.app)"
    ),
}


@pytest.mark.once
@pytest.mark.parametrize("process", AFTER_START)
def test_a_process_that_has_started_leaves_what_it_imported_alone(
    process: str, tmp_path: Path
) -> None:
    done = subprocess.run(
        [
            sys.executable,
            "-c",
            f"{AFTER_START[process]}; import gc; print(gc.get_freeze_count() * gc.isenabled())",
        ],
        cwd=ROOT,
        env={"PATH": os.environ["PATH"], "PRACTICE_VAR": str(tmp_path), "PRACTICE_NO_VENV": "1"}
        | {"DJANGO_SETTINGS_MODULE": "practice.settings"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert int(done.stdout) > 10_000


def test_no_event_is_walked_through_by_the_collector() -> None:
    assert registry.by_class
    walked = [cls.__name__ for cls in registry.by_class if cls.__struct_config__.gc]
    assert walked == []

"""What the README says works as it is pasted; what it and DEVELOPERS.md name is there."""

from __future__ import annotations

import os
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.core.management import get_commands

from tests.api.test_addresses_in_texts import INSERTED, addresses_in, wrong_with
from tests.live import live_practice

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
FENCED = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
AT = "--- block"


def blocks(language: str) -> Iterator[str]:
    """The fenced blocks of one language, in order."""
    return (text for named, text in FENCED.findall(README) if named == language)


def run_as_pasted(folder: Path, base: str) -> list[str]:
    """What each shell block prints, all run in one shell one after the other."""
    script = "".join(f'echo "{AT}"\n{block}\n' for block in blocks("sh"))
    done = subprocess.run(
        ["bash", "-eu", "-o", "pipefail", "-c", script],
        cwd=folder,
        env=os.environ | {"BASE": base},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, f"{done.stdout[-2000:]}\n{done.stderr[-2000:]}"
    return done.stdout.split(AT)[1:]


@pytest.mark.redis
@pytest.mark.postgresql
def test_the_first_look_works_as_it_is_pasted(tmp_path: Path) -> None:
    pasted = tmp_path / "pasted"
    pasted.mkdir()
    with live_practice(tmp_path / "var") as practice:
        practice.manage("load_demo", "--clients", "1")
        printed = run_as_pasted(pasted, f"{practice.start_server(0)}/api/v1")
    start, _, _, permissions, booking, note, out, refusal = printed
    assert "README.md" in start
    assert '"3.1' in (pasted / "openapi.json").read_text()[:40]
    assert '"planned": "hands_on"' in permissions
    assert '"code": "surgery.no_clearance"' in permissions
    assert '"status": "booked"' in booking
    assert note.splitlines()[-2:] == ["1", "(['subjective'], 'Slept well.', 'Go on twice a week.')"]
    assert '"results"' in out
    assert '"month"' in out
    assert '"code": "against_preference"' in refusal
    assert '"source": "the client\'s stated preference"' in refusal


def test_every_address_of_the_readme_is_there() -> None:
    text = re.sub(r"\{\w+\}", INSERTED, README).replace("…", "").replace("/api/v1/", "/")
    named = list(addresses_in(text))
    assert len(named) > 35
    assert [(one, wrong) for one in named if (wrong := wrong_with(*one))] == []


def test_every_command_of_the_readme_is_there() -> None:
    named = set(re.findall(r"manage\.py (\w+)", README))
    assert "demo" in named
    assert named <= set(get_commands())


def test_nothing_that_is_pasted_has_a_prompt() -> None:
    assert not [line for block in blocks("sh") for line in block.splitlines() if line[:2] == "$ "]


def test_every_file_and_command_that_developers_are_told_of_is_there() -> None:
    paths = set(
        re.findall(r"`((?:practice|clients|sessions|billing|tests|fixtures)/[\w/.]*)`", DEVELOPERS)
    )
    assert len(paths) > 25
    assert {path for path in paths if not (ROOT / path).exists()} == set()
    named = set(re.findall(r"manage\.py (\w+)", DEVELOPERS))
    assert named <= set(get_commands())


def test_every_feature_stands_in_the_picture_of_the_house() -> None:
    for app in ("practice", "clients", "sessions", "billing"):
        row = next(line for line in DEVELOPERS.splitlines() if line.startswith(f"| `{app}` |"))
        features = {one.parent.name for one in (ROOT / app).glob("*/__init__.py")} - {"migrations"}
        assert {one for one in features if f"`{one}`" not in row} == set()

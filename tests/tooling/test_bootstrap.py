"""manage.py's preparation of .venv, with lock files that name no package."""

from __future__ import annotations

import importlib.util
import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path
from types import ModuleType

import pytest

pytestmark = pytest.mark.once

ROOT = Path(__file__).resolve().parents[2]
PREPARE = """
import importlib.util, pathlib, sys
spec = importlib.util.spec_from_file_location("bootstrap", sys.argv[1])
bootstrap = importlib.util.module_from_spec(spec)
spec.loader.exec_module(bootstrap)
bootstrap.prepare(pathlib.Path(sys.argv[2]))
"""


@pytest.fixture
def bootstrap() -> ModuleType:
    spec = importlib.util.spec_from_file_location("bootstrap", ROOT / "manage.py")
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def root(tmp_path: Path) -> Path:
    (tmp_path / "tests").mkdir()
    (tmp_path / "requirements.lock").write_text("# no package\n")
    (tmp_path / "tests" / "requirements.lock").write_text("# no package\n")
    return tmp_path


def half_built(root: Path) -> Path:
    """What a stop in the middle of the installation leaves: a Python, no stamp."""
    (root / ".venv" / "bin").mkdir(parents=True)
    (root / ".venv" / "bin" / "python").write_text("#!/bin/sh\nexit 3\n")
    leftover = root / ".venv" / "leftover"
    leftover.write_text("half a package")
    return leftover


def test_half_built_environment_is_built_anew_once_even_when_two_start_at_once(root, bootstrap):
    leftover = half_built(root)
    starts = [
        subprocess.Popen(
            [sys.executable, "-c", PREPARE, str(ROOT / "manage.py"), str(root)],
            stderr=subprocess.PIPE,
            text=True,
        )
        for _ in range(2)
    ]
    said = "".join(start.communicate(timeout=120)[1] for start in starts)

    assert [start.returncode for start in starts] == [0, 0], said
    assert said.count("Preparing .venv") == 1
    assert not leftover.exists()
    python = bootstrap.venv_python(root / ".venv")
    assert subprocess.run([python, "-c", "pass"], check=False).returncode == 0
    assert bootstrap.prepare(root) == python  # Nothing left to do.


def test_failed_installation_leaves_no_stamp_and_says_what_to_do(root, bootstrap, monkeypatch):
    lock = root / "requirements.lock"
    lock.write_text("no-such-package==1.0 --hash=sha256:" + "0" * 64 + "\n")
    monkeypatch.setenv("PIP_NO_INDEX", "1")
    monkeypatch.setattr(bootstrap, "make_venv", lambda venv: (venv / "bin").mkdir(parents=True))
    monkeypatch.setattr(bootstrap, "venv_python", lambda venv: Path(sys.executable))
    with pytest.raises(bootstrap.Unprepared, match=r"could not be installed"):
        bootstrap.prepare(root)
    assert not (root / ".venv" / "run-time.stamp").exists()


def test_changed_lock_file_and_test_packages_ask_for_another_build(root, bootstrap, monkeypatch):
    done = []

    def make_venv(venv: Path) -> None:
        python = bootstrap.venv_python(venv)
        python.parent.mkdir(parents=True, exist_ok=True)
        python.touch()
        done.append("venv")

    monkeypatch.setattr(bootstrap, "make_venv", make_venv)
    monkeypatch.setattr(bootstrap, "install", lambda venv, lock: done.append(lock.parent.name))
    bootstrap.prepare(root)
    assert done == ["venv", root.name]
    bootstrap.prepare(root, tests=True)
    assert done == ["venv", root.name, "tests"], "test packages are added to what is there"
    (root / "requirements.lock").write_text("# another set\n")
    bootstrap.prepare(root, tests=True)
    assert done[3:] == ["venv", root.name, "tests"]


def test_other_pythons_settings_are_dropped_and_the_package_index_kept(bootstrap, monkeypatch):
    for name in ("PYTHONPATH", "PYTHONHOME", "PIP_USER", "PIP_TARGET"):
        monkeypatch.setenv(name, "1")
    monkeypatch.setenv("PIP_INDEX_URL", "kept")
    env = bootstrap.environment()
    assert env["PIP_INDEX_URL"] == "kept"
    assert not {"PYTHONPATH", "PYTHONHOME", "PIP_USER", "PIP_TARGET"} & set(env)


def test_python_without_venv_is_told_what_to_install(root, bootstrap, monkeypatch):
    def no_ensurepip(command, **_):
        return subprocess.CompletedProcess(command, 1, "", "No module named ensurepip")

    monkeypatch.setattr(bootstrap.subprocess, "run", no_ensurepip)
    with pytest.raises(bootstrap.Unprepared, match=r"apt-get install python3-venv"):
        bootstrap.prepare(root)


def test_switch_leaves_the_environment_alone():
    answer = subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), "version"],
        env=os.environ | {"PRACTICE_NO_VENV": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert answer.returncode == 0, answer.stderr
    assert "Preparing" not in answer.stderr


@pytest.mark.parametrize("name", ["requirements.lock", "tests/requirements.lock"])
def test_lock_files_hold_hashes_and_neither_host_nor_path(name):
    text = (ROOT / name).read_text()
    assert not re.search(r"://|@ |file:|^-|^/", text, re.MULTILINE)
    for block in re.split(r"\n(?=\S)", text):
        if "==" in block.splitlines()[0]:
            assert "--hash=sha256:" in block, block.splitlines()[0]


def test_every_package_of_pyproject_is_locked():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())
    for names, lock in (
        (project["project"]["dependencies"], "requirements.lock"),
        (project["dependency-groups"]["test"], "tests/requirements.lock"),
    ):
        locked = set(re.findall(r"^([a-z0-9-]+)==", (ROOT / lock).read_text(), re.MULTILINE))
        wanted = {re.split(r"[\[<>=; ]", name)[0].lower() for name in names}
        assert wanted <= locked

#!/usr/bin/env python3
"""Django's command line, which first prepares the environment that it runs in.

With nothing but Python 3.11 or newer on the machine, ``python3 manage.py demo`` makes
``.venv`` beside this file, installs the packages of ``requirements.lock`` into it (checked
against their hashes) and starts itself again in there. ``test`` and ``bench`` add the packages
of ``tests/requirements.lock``. A stamp, written last, holds the hash of what was installed: no
stamp means half built, another hash means another set of packages; both are built anew. Standard
library only.

``PRACTICE_NO_VENV=1`` switches all this off, for containers that bring the packages themselves.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent
OLDEST = (3, 11)
NEEDS_TEST_PACKAGES = ("test", "bench")
# Where packages go is decided here; the caller's other PIP_ settings (index, proxy, ...) stay.
NOT_PASSED_ON = (
    "PYTHONPATH",
    "PYTHONHOME",
    "__PYVENV_LAUNCHER__",
    "PIP_USER",
    "PIP_TARGET",
    "PIP_PREFIX",
    "PIP_ROOT",
)
NO_VENV = """\
This Python ({python}) cannot make virtual environments. Install what is missing, then try again:
  Debian, Ubuntu:  apt-get install python3-venv
  Fedora:          dnf install python3
  Alpine:          apk add python3 py3-pip
or bring the packages of requirements.lock yourself and set PRACTICE_NO_VENV=1."""


class Unprepared(Exception):
    """The environment could not be made; the text says what to do."""


def environment() -> dict[str, str]:
    """The caller's environment without what would lead another Python astray."""
    return {name: value for name, value in os.environ.items() if name not in NOT_PASSED_ON}


def venv_python(venv: Path) -> Path:
    """The Python of a virtual environment."""
    return venv / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def fingerprint(*locks: Path) -> str:
    """Hash of the lock files that were installed."""
    digest = hashlib.sha256()
    for lock in locks:
        digest.update(lock.read_bytes() + b"\0")
    return digest.hexdigest()


def is_built(venv: Path, stamp: str, wanted: str) -> bool:
    """Whether the environment was built to its end, with just these packages."""
    mark = venv / stamp
    return venv_python(venv).exists() and mark.is_file() and mark.read_text() == wanted


@contextlib.contextmanager
def locked(file: Path) -> Iterator[None]:
    """Hold a lock, so that two that start at once build only once."""
    with file.open("a+b") as handle:
        if sys.platform == "win32":
            import msvcrt

            handle.seek(0)
            msvcrt.locking(handle.fileno(), msvcrt.LK_LOCK, 1)
            yield  # Windows frees it with the file.
            return
        import fcntl

        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            say("Waiting for another start that is preparing .venv ...")
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield


def say(text: str, end: str = "\n") -> None:
    """A line about the preparation; on stderr, so that a command's own output stays clean."""
    print(text, end=end, file=sys.stderr, flush=True)


def make_venv(venv: Path) -> None:
    """An empty virtual environment; whatever was there before is cleared."""
    say(f"Preparing {venv.name} with Python {sys.version.split()[0]} (once; some 30 seconds) ...")
    base = getattr(sys, "_base_executable", None) or sys.executable
    probe = [base, "-c", "import venv, ensurepip"]
    if subprocess.run(probe, capture_output=True, env=environment(), check=False).returncode:
        raise Unprepared(NO_VENV.format(python=base))
    made = subprocess.run(
        [base, "-m", "venv", "--clear", str(venv)],
        capture_output=True,
        text=True,
        env=environment(),
        check=False,
    )
    if made.returncode:
        raise Unprepared(f"{NO_VENV.format(python=base)}\n\n{made.stdout}{made.stderr}")


def install(venv: Path, lock: Path) -> None:
    """Install a lock file, hashes required, and show how far it is."""
    total = sum("==" in line and not line.startswith(" ") for line in lock.read_text().splitlines())
    command = [str(venv_python(venv)), "-m", "pip", "install", "--require-hashes"]
    # The lock is complete (no dependencies to look for); bytecode is made where it is used.
    command += ["--no-deps", "--no-compile", "--no-input", "--disable-pip-version-check"]
    command += ["--progress-bar", "off"]
    lines, done = [], 0
    with subprocess.Popen(
        [*command, "-r", str(lock)],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env=environment(),
    ) as running:
        for line in running.stdout or ():
            lines.append(line)
            if line.startswith(("Collecting ", "Requirement already ", "Ignoring ")):
                done += 1
                show_progress(done, total, line)
            elif line.startswith("Installing "):
                say(f"{clear_line()}  {lock.name}: unpacking {total} packages ...")
    if running.returncode:
        tail = "".join(lines[-15:])
        raise Unprepared(
            f"{tail}\nThe packages of {lock} could not be installed (above: what pip said). "
            "Check the connection to the package index (PIP_INDEX_URL, proxy) and run this again."
        )


def clear_line() -> str:
    """Wipes the line of progress on a terminal."""
    return "\r\033[K" if sys.stderr.isatty() else ""


def show_progress(done: int, total: int, line: str) -> None:
    """One moving line on a terminal, every tenth package elsewhere."""
    if sys.stderr.isatty():
        say(f"{clear_line()}  {done} of {total}: {' '.join(line.split()[1:2])}", end="")
    elif done % 10 == 0 or done == total:
        say(f"  {done} of {total} packages")


def prepare(root: Path, *, tests: bool = False) -> Path:
    """Make ``root/.venv`` what the lock files say; return its Python.

    Building starts from nothing unless the stamp of the run-time packages is the wanted one.
    """
    venv, run_time, testing = (
        root / ".venv",
        root / "requirements.lock",
        root / "tests" / "requirements.lock",
    )
    steps = [("run-time.stamp", run_time, fingerprint(run_time))]
    if tests:
        steps.append(("tests.stamp", testing, fingerprint(run_time, testing)))
    if all(is_built(venv, stamp, wanted) for stamp, _, wanted in steps):
        return venv_python(venv)
    with locked(root / ".venv.lock"):
        for position, (stamp, lock, wanted) in enumerate(steps):
            if is_built(venv, stamp, wanted):
                continue
            if position == 0:
                make_venv(venv)
            install(venv, lock)
            (venv / stamp).write_text(wanted)
    return venv_python(venv)


def start_again(python: Path | str, arguments: list[str]) -> None:
    """Replace this process by the same command line under another Python."""
    command = [str(python), *arguments]
    if os.name == "nt":
        sys.exit(subprocess.call(command, env=environment()))
    os.execve(command[0], command, environment())


def newer_python() -> str:
    """A Python on PATH that is new enough, where the calling one is not."""
    for minor in (13, 12, 11, 14):
        found = shutil.which(f"python3.{minor}")
        if found:
            return found
    raise Unprepared(
        f"Python {OLDEST[0]}.{OLDEST[1]} or newer is needed; this is {sys.version.split()[0]}. "
        "Install it (Debian, Ubuntu: apt-get install python3 python3-venv) and run this again."
    )


def enter_venv(arguments: list[str]) -> None:
    """Return only inside the prepared environment."""
    if sys.version_info < OLDEST:
        start_again(newer_python(), arguments)
    tests = len(arguments) > 1 and arguments[1] in NEEDS_TEST_PACKAGES
    python = prepare(ROOT, tests=tests)
    if Path(sys.prefix).resolve() != (ROOT / ".venv").resolve():
        start_again(python, arguments)


def run_django(arguments: list[str]) -> None:
    """Django's command line; a wrong setting is a sentence, not a traceback."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "practice.settings")
    from django.core.exceptions import ImproperlyConfigured
    from django.core.management import execute_from_command_line

    try:
        execute_from_command_line(arguments)
    except ImproperlyConfigured as problem:
        sys.exit(str(problem))


def main() -> None:
    """Prepare, then hand over to Django."""
    arguments = [str(ROOT / "manage.py"), *sys.argv[1:]]
    if os.environ.get("PRACTICE_NO_VENV") not in ("1", "true", "yes"):
        try:
            enter_venv(arguments)
        except Unprepared as problem:
            sys.exit(str(problem))
    run_django(arguments)


if __name__ == "__main__":
    main()

"""The fast lane: tests are collected once, then each fault is planted in a forked child.

A child swaps the code of one function, runs the fault's tests on its own copy of the SQLite
database, and ends without a word; the parent alone keeps count. No connection crosses a fork.
Before it, another child runs the same tests without the fault: where they fail for a reason of the
lane's own, the slow lane is asked instead, so that a broken lane never counts as a seen fault.
"""

from __future__ import annotations

import os
import shutil
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterable, Sequence
from pathlib import Path

import pytest
from _pytest.runner import runtestprotocol
from django.db import connections

from tests.faults import ROOT, Fault
from tests.faults.swapping import swap, swappable

SIDE_BY_SIDE = 2
SECONDS = 90
"""A fault that keeps its tests running longer than this has been seen."""

SEEN, UNSEEN, ELSEWHERE = "seen", "UNSEEN", "elsewhere"
_PASSED = 10


class FastLane:
    """A pytest plugin: takes the place of the ordinary loop over the tests."""

    def __init__(self, faults: Sequence[Fault], *, side_by_side: int = SIDE_BY_SIDE) -> None:
        self.waiting = list(faults)
        self.results: dict[Fault, str] = {}
        self.side_by_side = side_by_side
        self._running: dict[int, tuple[Fault, bool, float]] = {}
        self._controlled: set[tuple[str, ...]] = set()
        self._items: dict[str, list[pytest.Item]] = defaultdict(list)
        self._rest: list[pytest.Item] = []

    def pytest_configure(self, config: pytest.Config) -> None:
        """Made-up examples are not shrunk: that one of them fails is enough. As untimed as all."""
        from hypothesis import Phase, settings  # Not before pytest has seen to its plugin.

        phases = (Phase.explicit, Phase.generate)
        settings.register_profile("faults", phases=phases, database=None, print_blob=False)
        settings.load_profile("faults")

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Plant, fork, wait; True: nothing is left for the ordinary loop."""
        for item in session.items:
            path, _, name = item.nodeid.partition("::")
            for known in (path, f"{path}::{name.split('[')[0]}", item.nodeid):
                self._items[known].append(item)
        self._rest = warm_up(session)
        for alias in connections:
            connections[alias].close()
        while self.waiting or self._running:
            while self.waiting and len(self._running) < self.side_by_side:
                self._start(self.waiting.pop(0))
            time.sleep(0.005)
            self._look()
        return True

    def items(self, fault: Fault) -> list[pytest.Item]:
        """Its tests in order, each once; empty where one of them was not collected here."""
        groups = [self._items.get(name, []) for name in fault.tests]
        return list(dict.fromkeys(one for group in groups for one in group)) if all(groups) else []

    def _start(self, fault: Fault) -> None:
        items = self.items(fault)
        if not items or not swappable(fault):
            self.results[fault] = ELSEWHERE
            return
        control = fault.tests not in self._controlled
        child = os.fork()
        if child == 0:
            _child(None if control else fault, items, self._rest)
        self._running[child] = (fault, control, time.monotonic())

    def _look(self) -> None:
        for child, (fault, control, start) in list(self._running.items()):
            done, status = os.waitpid(child, os.WNOHANG)
            if done:
                del self._running[child]
                passed = os.waitstatus_to_exitcode(status) == _PASSED
                self._note(fault, control=control, passed=passed)
            elif time.monotonic() - start > SECONDS:
                os.kill(child, 9)

    def _note(self, fault: Fault, *, control: bool, passed: bool) -> None:
        if not control:
            self.results[fault] = UNSEEN if passed else SEEN
        elif passed:
            self._controlled.add(fault.tests)
            self.waiting.insert(0, fault)
        else:
            self.results[fault] = ELSEWHERE


def warm_up(session: pytest.Session) -> list[pytest.Item]:
    """Make the test database by running one test that asks for it; two tests to end at."""
    asking = [item for item in session.items if item.get_closest_marker("django_db")]
    first, last = asking[0], asking[-1]
    reports = runtestprotocol(first, log=False, nextitem=last)
    assert all(report.passed for report in reports), f"{first.nodeid} fails without a fault"
    return [first, last]


def _child(fault: Fault | None, items: Iterable[pytest.Item], ends: list[pytest.Item]) -> None:
    status = _PASSED
    folder = tempfile.mkdtemp(prefix="practice-fault-")
    try:
        _be_silent()
        _own_database(Path(folder))
        if fault:
            swap(fault)
        if not _all_pass(list(items), ends):
            status = 0
    except BaseException:  # noqa: BLE001  A fault that breaks the run itself has been seen.
        status = 0
    finally:
        shutil.rmtree(folder, ignore_errors=True)
        os._exit(status)  # Nothing of the parent's is torn down here.


def _all_pass(items: list[pytest.Item], ends: list[pytest.Item]) -> bool:
    state = items[0].session._setupstate
    state.teardown_exact(items[0])
    for item, following in zip(items, [*items[1:], None], strict=True):
        end = ends[0] if ends[0] is not item else ends[1]
        reports = runtestprotocol(item, log=False, nextitem=following or end)
        if any(report.failed for report in reports):
            return False
    return True


def _be_silent() -> None:
    nowhere = os.open(os.devnull, os.O_RDWR)
    for descriptor in (1, 2):
        os.dup2(nowhere, descriptor)


def _own_database(folder: Path) -> None:
    for alias in connections:
        own = connections[alias].settings_dict
        copy = folder / f"{alias}.sqlite3"
        shutil.copyfile(own["NAME"], copy)
        own["NAME"] = str(copy)


def run(faults: Sequence[Fault]) -> dict[Fault, str]:
    """Each fault with seen, UNSEEN, or elsewhere where only the slow lane can plant it."""
    lane = FastLane(faults)
    if faults:
        os.chdir(ROOT)
        arguments = ["-q", "-s", "--no-header", "--no-summary", "-p", "no:cacheprovider"]
        ignored = ("harness", "e2e", "bench", "faults")
        ignore = [f"--ignore=tests/{name}" for name in ignored]
        pytest.main([*arguments, *ignore, "tests"], plugins=[lane])
    return lane.results

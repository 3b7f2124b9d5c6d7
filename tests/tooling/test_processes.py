"""Processes that demo and test start: ports, groups, ends."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

from practice.management import processes
from practice.management.processes import Group, NotStarted, Process

pytestmark = pytest.mark.once

ROOT = Path(__file__).resolve().parents[2]
PARENT = """
import pathlib, sys, time
from practice.management.processes import Process
child = Process("child", ["sleep", "60"], log=pathlib.Path(sys.argv[1]))
print(child.popen.pid, flush=True)
time.sleep(60)
"""


def is_alive(pid: int) -> bool:
    """Whether a process runs (a zombie that nobody waited for does not)."""
    state = subprocess.run(
        ["ps", "-o", "stat=", "-p", str(pid)], capture_output=True, text=True, check=False
    ).stdout.strip()
    return bool(state) and not state.startswith("Z")


def gone(pid: int, seconds: float = 10) -> bool:
    end = time.monotonic() + seconds
    while is_alive(pid) and time.monotonic() < end:
        time.sleep(0.05)
    return not is_alive(pid)


def test_taken_port_is_named_and_another_used():
    said: list[str] = []
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        other = processes.port_or_another(port, said.append)
    assert other != port
    assert processes.is_free(other)
    assert str(port) in said[0]
    assert str(other) in said[0]


def test_free_port_is_used_without_a_word():
    said: list[str] = []
    port = processes.free_port()
    assert processes.port_or_another(port, said.append) == port
    assert said == []


def test_group_ends_children_and_their_children(tmp_path):
    with Group() as group:
        script = "sleep 60 & echo $!; wait"
        child = group.add(Process("child", ["sh", "-c", script], log=tmp_path / "log"))
        child.wait_until(lambda: child.last_lines().strip().isdigit(), 5)
        grandchild = int(child.last_lines())
        assert is_alive(grandchild)
    assert gone(child.popen.pid)
    assert gone(grandchild)


def test_child_that_ignores_the_request_is_ended(tmp_path):
    script = "trap '' TERM; echo deaf; while :; do sleep 0.1; done"
    child = Process("child", ["sh", "-c", script], log=tmp_path / "log")
    child.wait_until(lambda: "deaf" in child.last_lines(), 5)
    child.end(seconds=0.3)
    assert gone(child.popen.pid)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="only Linux's kernel does this")
def test_children_end_with_a_parent_that_was_killed(tmp_path):
    parent = subprocess.Popen(
        [sys.executable, "-c", PARENT, str(tmp_path / "log")],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert parent.stdout
    with parent, parent.stdout:
        child = int(parent.stdout.readline())
        assert is_alive(child)
        parent.kill()
    assert gone(child)


def test_process_that_ends_at_once_is_told_with_the_end_of_its_log(tmp_path):
    child = Process("server", ["sh", "-c", "echo no such table; exit 1"], log=tmp_path / "log")
    with pytest.raises(NotStarted, match=r"server ended at once:\nno such table"):
        child.wait_until(lambda: False, 10)
    child.end()


def ask_to_end_and_wait() -> None:
    os.kill(os.getpid(), signal.SIGTERM)
    time.sleep(5)


def test_request_to_end_lets_the_clean_up_run():
    with pytest.raises(processes.StopRequested, match="SIGTERM"), processes.stopping_on_signals():
        ask_to_end_and_wait()

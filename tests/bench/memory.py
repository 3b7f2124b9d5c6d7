"""Memory of processes as the kernel counts it (Linux)."""

from __future__ import annotations

from pathlib import Path


def memory_of(pid: int | str, what: str = "Pss") -> int:
    """Bytes of a process. ``Pss``: pages that it shares are counted in parts; ``Rss``: wholly."""
    for line in Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines():
        if line.startswith(f"{what}:"):
            return int(line.split()[1]) * 1024
    raise LookupError(what)


def memory_of_this() -> int:
    """Bytes of this process that no other has."""
    return memory_of("self", "Private_Dirty")


def children(pid: int) -> list[int]:
    """The processes that a process started."""
    return [int(one) for one in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]


def is_measurable() -> bool:
    """Whether this kernel tells."""
    return Path("/proc/self/smaps_rollup").exists()

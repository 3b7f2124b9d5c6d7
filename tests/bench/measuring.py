"""Timing contenders turn by turn, and what is worth knowing about the machine."""

from __future__ import annotations

import os
import platform
import sys
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from importlib.metadata import version
from pathlib import Path
from statistics import median
from typing import Any

PACKAGES = (
    "django",
    "djangorestframework",
    "msgspec",
    "cryptography",
    "psycopg",
    "gunicorn",
    "eventsourcing",
)


@dataclass
class Runs:
    """The times of one contender in seconds, one list per round."""

    rounds: list[list[float]] = field(default_factory=list)

    def quantile(self, share: float) -> float:
        """A quantile of all times."""
        times = sorted(one for run in self.rounds for one in run)
        return times[min(len(times) - 1, int(share * len(times)))]

    def as_json(self) -> dict[str, Any]:
        """Median, 95th percentile and every time, in milliseconds."""
        return {
            "p50_ms": round(self.quantile(0.5) * 1e3, 4),
            "p95_ms": round(self.quantile(0.95) * 1e3, 4),
            "rounds_ms": [[round(one * 1e3, 4) for one in run] for run in self.rounds],
        }


def alternate(
    contenders: Mapping[str, Callable[[], object]], *, rounds: int, each: int
) -> dict[str, Runs]:
    """Call every contender ``each`` times per round, round after round; one round warms up."""
    runs = {name: Runs() for name in contenders}
    for number in range(rounds + 1):
        for name, act in contenders.items():
            times = []
            for _ in range(each):
                start = time.perf_counter()
                act()
                times.append(time.perf_counter() - start)
            if number:
                runs[name].rounds.append(times)
    return runs


def times_as_fast(ours: Runs, peer: Runs) -> float:
    """How many times as fast as the peer: the median over rounds of the ratio of medians."""
    pairs = zip(ours.rounds, peer.rounds, strict=True)
    return median(median(theirs) / median(mine) for mine, theirs in pairs)


def fsync_ms(folder: Path, tries: int = 50) -> float:
    """Median milliseconds to write 8 KiB and have it on the disk, in a folder."""
    file = folder / "fsync.probe"
    times = []
    descriptor = os.open(file, os.O_CREAT | os.O_WRONLY, 0o600)
    try:
        for _ in range(tries):
            os.lseek(descriptor, 0, os.SEEK_SET)
            start = time.perf_counter()
            os.write(descriptor, b"\0" * 8192)
            os.fdatasync(descriptor)
            times.append(time.perf_counter() - start)
    finally:
        os.close(descriptor)
        file.unlink()
    return median(times) * 1e3


def machine() -> dict[str, Any]:
    """What the figures depend on."""
    return {
        "system": f"{platform.system()} {platform.machine()}",
        "cores": os.cpu_count(),
        "load_before": os.getloadavg()[0],
        "python": sys.version.split()[0],
        "packages": {name: version(name) for name in PACKAGES},
    }

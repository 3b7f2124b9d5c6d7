"""Plants the faults one at a time and says which no test saw: ``python -m tests.faults [area]``."""

from __future__ import annotations

import argparse
import os
import tempfile
import time
from collections import Counter
from datetime import UTC, datetime

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "practice.settings")
os.environ.setdefault("PRACTICE_NO_VENV", "1")
os.environ.setdefault("HYPOTHESIS_STORAGE_DIRECTORY", tempfile.mkdtemp(prefix="practice-examples-"))


def main() -> int:
    """Status 0 only if every fault was seen."""
    options = arguments()
    from tests.faults import faults

    rows = [one for one in faults(*options.areas) if not one.struck]
    if options.rotate:
        rows = rotated(rows, options.rotate)
    start = time.monotonic()
    results = planted(rows)
    counts: dict[str, Counter[str]] = {}
    for fault, (lane, result) in results.items():
        counts.setdefault(fault.area, Counter())[f"{result} {lane}"] += 1
        if result != "seen" or options.verbose:
            print(f"{result:<8} {fault.target}: {fault.why}", flush=True)
    for area, count in sorted(counts.items()):
        print(f"{area:<14} {sum(count.values()):>4}  {dict(count)}")
    struck = sum(bool(one.struck) for one in faults(*options.areas))
    bad = [one for one, (_, result) in results.items() if result != "seen"]
    seconds = time.monotonic() - start
    print(f"{len(rows)} planted, {len(bad)} not seen, {struck} struck; {seconds:.0f} s")
    return 1 if bad else 0


def arguments() -> argparse.Namespace:
    """What the command is asked for."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults", description=__doc__)
    parser.add_argument("areas", nargs="*", help="files of faults by name (default: all)")
    parser.add_argument("--rotate", type=int, metavar="N", help="N of them, others each day")
    parser.add_argument("--verbose", action="store_true", help="name the seen ones too")
    return parser.parse_args()


def rotated(rows: list, number: int) -> list:
    """So many, beginning elsewhere each day, spread over the whole list."""
    day = datetime.now(tz=UTC).toordinal()
    step = max(len(rows) // number, 1)
    return rows[day % step :: step][:number]


def planted(rows: list) -> dict:
    """Fast lane first; what it cannot plant or did not see goes the slow way."""
    from tests.faults import fast, slow

    first = fast.run(rows)  # Where the lane itself fell over, a fault has no result.
    results = {one: ("fast", first.get(one, fast.ELSEWHERE)) for one in rows}
    again = [one for one, (_, result) in results.items() if result != fast.SEEN]
    for fault, result in slow.run(again):
        results[fault] = ("slow", result)
    return results


if __name__ == "__main__":
    raise SystemExit(main())

"""``python -m tests.harness.reminder_faults``: provoke each fault and print the table."""

from __future__ import annotations

import argparse
import json
import os
import sys
import tempfile
from dataclasses import asdict
from pathlib import Path

from practice.management.processes import Group, stopping_on_signals
from practice.management.test_servers import postgresql
from tests.harness.reminder_faults.house import House, start_broker
from tests.harness.reminder_faults.rows import ReminderFault, markdown


def options() -> argparse.Namespace:
    """How much of what."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("faults", nargs="*", help="only these, e.g. redis day (default: all)")
    parser.add_argument("--quick", action="store_true", help="few of each, as the suite runs it")
    parser.add_argument("--due", type=int, help="reminders due at each fault (400; quick 30)")
    parser.add_argument("--kills", type=int, help="workers killed at each place (16; quick 4)")
    parser.add_argument("--away", type=int, help="seconds without Redis (20; quick 3); e.g. 300")
    parser.add_argument("--many", type=int, help="reminders due in one minute (10000; quick 100)")
    parser.add_argument("--rows", type=Path, help="a file for the rows as JSON")
    return parser.parse_args()


def scene_of(given: argparse.Namespace, house: House) -> object:
    """The practice of this run, in the database of this process."""
    from tests.builders import build_practice, seal_practice
    from tests.harness.reminder_faults.faults import SHORT, Scene

    quick = given.quick
    built = build_practice()
    seal_practice()
    return Scene(
        house=house,
        built=built,
        due=given.due or (30 if quick else 400),
        kills=given.kills or (4 if quick else 16),
        away=given.away or (3 if quick else 20),
        many=given.many or (100 if quick else 10_000),
        longest=120 if quick else 1800,
        usual=SHORT if quick else {},
    )


def prepare(folder: Path, group: Group) -> House:
    """PostgreSQL, migrated, and Redis; the settings of this process are those of all others."""
    redis_url = start_broker(group, folder / "redis")
    server = postgresql(group, folder / "postgresql", print)
    os.environ |= {
        "DJANGO_SETTINGS_MODULE": "practice.settings",
        "PRACTICE_MODE": "development",
        "PRACTICE_VAR": str(folder / "var"),
        "DATABASE_URL": server.url,
        "KEYS_DATABASE_URL": "",
        "REDIS_URL": redis_url,
        "EMAIL_HOST": "",
    }
    import django

    django.setup()
    from django.core.management import call_command

    call_command("migrate", "--no-input", verbosity=0)
    return House(folder, group, redis_url)


def provoke(given: argparse.Namespace, house: House) -> tuple[list[ReminderFault], list[str]]:
    """Each fault on an empty table: the rows, and what must not be."""
    from tests.harness.reminder_faults import due
    from tests.harness.reminder_faults.faults import FAULTS, QUICK, Scene, remove_clocks

    scene = scene_of(given, house)
    assert isinstance(scene, Scene)
    rows = []
    for name in given.faults or (
        QUICK if given.quick else [one for one in FAULTS if one != "each"]
    ):
        try:
            rows.append(FAULTS[name](scene))
            print(rows[-1], flush=True)
        except AssertionError as late:
            scene.problems.append(f"{name}: {late}")
        finally:
            if not given.quick:
                house.end_processes()
            house.forget()
            remove_clocks(house.folder)
            due.forget()
    return rows, scene.problems


def main() -> int:
    """0 where nothing was lost, and nothing doubled but what may be."""
    given = options()
    os.environ.pop("TEST_POSTGRESQL_URL", None)  # This one is restarted.
    with (
        stopping_on_signals(),
        tempfile.TemporaryDirectory(prefix="practice-faults-") as name,
        Group() as group,
    ):
        house = prepare(Path(name), group)
        try:
            rows, problems = provoke(given, house)
        finally:
            house.stop_database()
    if given.rows:
        given.rows.write_text("\n".join(json.dumps(asdict(one)) for one in rows))
    print(markdown(rows))
    for one in problems:
        print(one, file=sys.stderr)
    return int(bool(problems))


if __name__ == "__main__":
    raise SystemExit(main())

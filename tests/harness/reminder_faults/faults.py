"""The faults, each with what came of it."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from typing import Final
from uuid import UUID

from clients.reminders.models import Reminder
from clients.reminders.selectors import SEND_JOB
from practice.clock import clock
from practice.core.appspec import installed
from practice.management.processes import Process
from tests.builders import Built
from tests.harness.reminder_faults import due
from tests.harness.reminder_faults.house import House
from tests.harness.reminder_faults.rows import ReminderFault, counted, faults_of, mails
from tests.harness.reminder_faults.worker import ACCEPTED, CLAIMED, WRITTEN

SHORT: Final = {"LEASE_SECONDS": "6"}
HOUR: Final = 3600
NEW_YORK: Final = "America/New_York"
CHANGES: Final = {
    "spring forward": datetime(2027, 3, 14, 12, tzinfo=UTC),
    "fall back": datetime(2027, 11, 7, 13, tzinfo=UTC),
}
"""When the quiet hours end, at eight, in the night in which New York changes its clocks."""


@dataclass
class Scene:
    """Where it happens and how much of it."""

    house: House
    built: Built
    due: int
    kills: int
    away: int
    many: int
    longest: int
    usual: Mapping[str, str] = field(default_factory=dict)
    problems: list[str] = field(default_factory=list)

    def row(
        self,
        fault: str,
        how: str,
        wanted: set[UUID],
        seconds: float,
        *,
        may_double: bool = False,
    ) -> ReminderFault:
        """Count, and see whether it may be so."""
        found = counted(fault, how, self.house.mail, wanted, seconds)
        self.problems += faults_of(found, may_double=may_double)
        return found

    def until_all_went(self, meanwhile: Callable[[], None] | None = None) -> float:
        """The seconds until nothing waits any more."""
        return self.house.wait_for(due.nothing_waits, self.longest, meanwhile)

    def some_went(self, count: int) -> None:
        """Wait until so many were handed over."""
        self.house.wait_for(lambda: due.handled_so_far() >= count, self.longest)

    def must(self, holds: bool, otherwise: str) -> None:
        """Keep what does not hold."""
        if not holds:
            self.problems.append(otherwise)


def killed(scene: Scene, where: str, says: str) -> ReminderFault:
    """Workers die by kill -9 at one place, one after another, until there were enough."""
    house = scene.house
    passes = max(2, scene.due // (2 * scene.kills))
    trap = SHORT | {"DIE_AT": where, "DIE_AT_PASS": str(passes)}
    clients = due.clients_by_mail(scene.built, 5)
    house.start(**trap)
    wanted = due.rechecks_due(clients, scene.due)

    def replace() -> None:
        house.replace_dead(**(trap if house.deaths < scene.kills else SHORT))

    seconds = scene.until_all_went(replace)
    how = f"{house.deaths} workers killed -9 {says}"
    scene.must(house.deaths >= scene.kills, f"killed {where}: only {house.deaths} died")
    row = scene.row(f"killed {where}", how, wanted, seconds, may_double=where == ACCEPTED)
    if where == ACCEPTED:
        scene.must(may_double(row.doubled, house.deaths), f"{row.doubled} by {house.deaths} deaths")
    return row


def may_double(doubled: int, deaths: int) -> bool:
    """Whether deaths with mails in hand may double so many: each at least the one that was just
    taken, and at most what is under way between two commits."""
    return deaths <= doubled <= deaths * installed.job_kinds[SEND_JOB].together


def killed_once_each(scene: Scene) -> ReminderFault:
    """At each place one of the four dies; the fourth goes on."""
    house = scene.house
    clients = due.clients_by_mail(scene.built, 5)
    for where in (CLAIMED, WRITTEN, ACCEPTED):
        house.start_worker(**SHORT, DIE_AT=where, DIE_AT_PASS="2")
    house.start(**SHORT)
    wanted = due.rechecks_due(clients, scene.due)
    house.wait_for(lambda: house.deaths == 3, scene.longest, lambda: house.replace_dead(**SHORT))
    seconds = scene.until_all_went()
    how = "one worker each killed -9 after its claim, before the commit, after the mail was taken"
    row = scene.row("killed at each place", how, wanted, seconds, may_double=True)
    scene.must(may_double(row.doubled, 1), f"{row.doubled} by one death with mails in hand")
    return row


def redis_gone(scene: Scene) -> ReminderFault:
    """The broker goes while some are handled, more fall due, and it comes back."""
    house = scene.house
    broker: Process = house.group.processes[house.group.processes.index(broker_of(house))]
    clients = due.clients_by_mail(scene.built, 5)
    house.start(**scene.usual)
    wanted = due.rechecks_due(clients, scene.due // 2)
    scene.some_went(scene.due // 10)
    broker.kill()
    broker.popen.wait(10)
    scene.until_all_went()  # By the ticks that the workers had in hand.
    time.sleep(2)
    before = due.handled_so_far()
    wanted |= due.rechecks_due(clients, scene.due // 2)
    time.sleep(scene.away)
    scene.must(due.handled_so_far() == before, "something went without Redis: this proves little")
    scene.must(house.all_alive(), "a worker or a beat ended while Redis was away")
    restart(house, broker)
    seconds = scene.until_all_went()
    how = (
        f"Redis killed for {scene.away} s while half are handled; the other half falls due while"
        " it is away; seconds: after it is back"
    )
    return scene.row("Redis gone", how, wanted, seconds)


def broker_of(house: House) -> Process:
    """The process of Redis."""
    names = ("redis-server", "valkey-server")
    return next(one for one in house.group.processes if one.name in names)


def restart(house: House, broker: Process) -> None:
    """Redis again, on its port, with what its log of writes holds."""
    again = Process(broker.name, list(broker.popen.args), log=broker.log)  # type: ignore[arg-type]
    house.group.processes.remove(broker)
    house.group.processes.insert(0, again)


def day_without_beat(scene: Scene) -> ReminderFault:
    """Both beats are killed, a day's reminders fall due, both come back a day later."""
    house, day = scene.house, timedelta(days=1)
    *clients, one, other = due.clients_by_mail(scene.built, 7)
    house.start(**scene.usual)
    house.kill_beats()
    house.until_no_tick_is_left()
    time.sleep(3)
    wanted = due.rechecks_due(clients, scene.due, over=day)
    some = scene.due // 10
    for client_id in (one, other):
        wanted |= due.sessions_due(client_id, some, clock.now() + day, day)
        due.sessions_due(client_id, some, clock.now() - timedelta(hours=3), day)
    time.sleep(3)
    scene.must(due.handled_so_far() == 0, "something went without a beat")
    back = time.monotonic()
    house.start_beats(**scene.usual)
    scene.until_all_went()
    seconds = time.monotonic() - back
    how = (
        f"both beats killed; jobs due over the day before and {2 * some} of sessions that began"
        " meanwhile; both back"
    )
    return scene.row("beat down for a day", how, wanted, seconds)


def database_restarted(scene: Scene) -> ReminderFault:
    """``pg_ctl restart -m immediate`` while four workers handle, again and again."""
    house = scene.house
    clients = due.clients_by_mail(scene.built, 5)
    house.start(**SHORT)
    wanted = due.rechecks_due(clients, scene.due)
    restarts = max(1, scene.kills // 4)
    for number in range(restarts):
        scene.some_went((number + 1) * scene.due // (restarts + 2))
        house.restart_database()
        time.sleep(0.5)
    seconds = scene.until_all_went(house.replace_dead)
    how = f"pg_ctl restart -m immediate while they are handled, {restarts} times"
    return scene.row("database restarted", how, wanted, seconds)


def clocks_change(scene: Scene, change: str) -> ReminderFault:
    """The night of the change: nothing before eight by the new clock, everything after it."""
    house, moment = scene.house, CHANGES[change]
    clients = due.clients_by_mail(scene.built, 5, NEW_YORK)
    file = house.folder / "clock"
    file.write_text(str((moment - clock.now()).total_seconds() - HOUR))
    house.start(CLOCK_FILE=str(file), CLOCK_OF_ALL="1")
    with clock.at(moment - timedelta(seconds=HOUR)):
        wanted = due.rechecks_due(clients, scene.due // 2)
    house.wait_for(lambda: Reminder.objects.count() == len(wanted), scene.longest)
    file.write_text(str((moment - clock.now()).total_seconds() - 5))
    time.sleep(2.5)
    early = len(mails(house.mail))
    scene.must(early == 0, f"{change}: {early} in the quiet hours")
    seconds = scene.until_all_went()
    first = Reminder.objects.order_by("sent_at").values_list("sent_at", flat=True).first()
    scene.must(first is not None and first >= moment, f"{change}: the first went at {first}")
    how = f"the workers' night of {moment:%Y-%m-%d} in {NEW_YORK}; none before 08:00 there"
    return scene.row(change, how, wanted, seconds)


def clock_steps_back(scene: Scene) -> ReminderFault:
    """The machine's clock goes back an hour while they are handled, and is put right."""
    house = scene.house
    clients = due.clients_by_mail(scene.built, 5)
    file = house.folder / "clock"
    file.write_text("0")
    house.start(CLOCK_FILE=str(file), CLOCK_OF_ALL="1", **SHORT)
    wanted = due.rechecks_due(clients, scene.due, over=timedelta(hours=4))
    scene.some_went(scene.due // 10)
    file.write_text(str(-HOUR))
    time.sleep(5)
    file.write_text("0")
    seconds = scene.until_all_went()
    how = "the clock of workers and database an hour back for 5 s while they are handled"
    return scene.row("clock steps back", how, wanted, seconds)


def clocks_differ(scene: Scene) -> ReminderFault:
    """Of the four workers the clock of one is an hour ahead, that of one an hour behind."""
    house = scene.house
    clients = due.clients_by_mail(scene.built, 5)
    slow = {"MAIL_SECONDS": "0.05"}
    for ahead in (HOUR, -HOUR, 0, 0):
        file = house.folder / f"clock{ahead}"
        file.write_text(str(ahead))
        house.start_worker(CLOCK_FILE=str(file), **slow)
    for one in house.workers:
        one.wait_until(lambda one=one: " ready." in one.last_lines(200), 90)  # type: ignore[misc]
    house.start_beats()
    wanted = due.rechecks_due(clients, scene.due, over=timedelta(hours=4))
    seconds = scene.until_all_went()
    how = "the clock of one worker an hour ahead, of one an hour behind, 0.05 s a mail"
    return scene.row("clocks differ", how, wanted, seconds)


def many_at_once(scene: Scene) -> ReminderFault:
    """So many fall due within one minute."""
    house = scene.house
    clients = due.clients_by_mail(scene.built, 20)
    house.start(**scene.usual)
    before = house.memory()
    wanted = due.rechecks_due(clients, scene.many, over=timedelta(minutes=1))
    seconds = scene.until_all_went()
    after = house.memory()
    how = (
        f"all due within one minute, {scene.many / seconds:.0f} a second; the largest process of"
        f" a worker held {before} MB before, {after} MB at most"
    )
    scene.must(after < before + 60, f"memory of a worker went from {before} to {after} MB")
    return scene.row(f"{scene.many} at once", how, wanted, seconds)


FAULTS: Final[dict[str, Callable[[Scene], ReminderFault]]] = {
    "claimed": partial(killed, where=CLAIMED, says="between the claim and the handling"),
    "written": partial(killed, where=WRITTEN, says="after it was done, before it was committed"),
    "accepted": partial(
        killed, where=ACCEPTED, says="after the mail was taken, before it was written down"
    ),
    "each": killed_once_each,
    "redis": redis_gone,
    "day": day_without_beat,
    "database": database_restarted,
    "spring": partial(clocks_change, change="spring forward"),
    "fall": partial(clocks_change, change="fall back"),
    "back": clock_steps_back,
    "differ": clocks_differ,
    "many": many_at_once,
}


QUICK: Final = ("database", "day")
"""What the suite runs, with the same processes; kills and a broker that is away are in
``tests/harness/test_reminders.py``, clocks have tests of their own."""


def remove_clocks(folder: Path) -> None:
    """The next fault has clocks of its own."""
    for file in folder.glob("clock*"):
        file.unlink()

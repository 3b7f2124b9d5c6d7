"""What came of one fault, counted from the mails and the rows; the table of all."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from uuid import UUID

END_OF_MAIL = "-" * 79
"""Django's folder of mails writes it below each: one without was not taken whole."""


@dataclass(frozen=True)
class ReminderFault:
    """``due``: reminders that were to go; ``handled``: went at least once; ``same_id``: copies of
    the doubled ones under the id of the first; ``counted``: handed over more than once by the
    reminders' own ``tries``; ``wrongly``: went though of no use any more."""

    fault: str
    how: str
    due: int
    handled: int
    lost: int
    doubled: int
    same_id: int
    counted: int
    wrongly: int
    seconds: float


def mails(folder: Path) -> list[tuple[UUID, str]]:
    """Of which reminder each mail is, by the link in it, and its Message-ID."""
    found = []
    for file in sorted(folder.glob("*")):
        for one in file.read_text().split(END_OF_MAIL)[:-1]:
            link = re.search(r"no-more-messages/([0-9a-f]{32})", one)
            message_id = re.search(r"^Message-ID: (<.*>)$", one, re.MULTILINE)
            assert link, one
            assert message_id, one
            found.append((UUID(link[1]), message_id[1]))
    return found


def counted(
    fault: str, how: str, folder: Path, wanted: Collection[UUID], seconds: float
) -> ReminderFault:
    """The row. ``wanted``: the things of which a reminder is to go, e.g. re-checks."""
    from clients.reminders.models import Reminder

    about: dict[UUID, UUID] = dict(Reminder.objects.values_list("pk", "about"))
    taken = mails(folder)
    of_each = Counter(about[reminder] for reminder, _ in taken)
    ids = dict(reversed(taken))
    handled = sum(1 for one in wanted if of_each[one])
    doubled = sum(of_each[one] - 1 for one in of_each)
    same = sum(message_id == ids[reminder] for reminder, message_id in taken) - len(of_each)
    again = Reminder.objects.filter(tries__gt=1).values_list("tries", flat=True)
    return ReminderFault(
        fault=fault,
        how=how,
        due=len(wanted),
        handled=handled,
        lost=len(wanted) - handled,
        doubled=doubled,
        same_id=same,
        counted=sum(one - 1 for one in again),
        wrongly=len(set(of_each) - set(wanted)),
        seconds=round(seconds, 1),
    )


def faults_of(row: ReminderFault, *, may_double: bool) -> list[str]:
    """What of a row must not be: nothing lost, nothing of no use sent; doubled only where a
    process died with the mail in hand, then under one id and counted."""
    found = []
    if row.lost:
        found.append(f"{row.lost} lost")
    if row.wrongly:
        found.append(f"{row.wrongly} sent that were of no use any more")
    if row.doubled and not may_double:
        found.append(f"{row.doubled} doubled")
    if row.same_id != row.doubled:
        found.append(f"{row.doubled - row.same_id} copies under another Message-ID")
    if row.counted < row.doubled:
        found.append(f"{row.doubled - row.counted} doubled and not counted")
    return [f"{row.fault}: {one}" for one in found]


def markdown(rows: Sequence[ReminderFault]) -> str:
    """The table as Markdown."""
    heads = {
        "fault": "fault",
        "how": "how provoked",
        "due": "due",
        "handled": "handled",
        "lost": "lost",
        "doubled": "doubled",
        "same_id": "same Message-ID",
        "counted": "counted as perhaps twice",
        "wrongly": "sent though of no use",
        "seconds": "seconds",
    }
    lines = [f"| {' | '.join(heads.values())} |", "|---" * len(heads) + "|"]
    values: list[Any] = [[str(getattr(one, name)) for name in heads] for one in rows]
    return "\n".join([*lines, *(f"| {' | '.join(one)} |" for one in values)])

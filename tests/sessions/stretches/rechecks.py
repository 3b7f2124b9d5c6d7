"""Days, and what the tests of re-checks ask of a programme."""

from __future__ import annotations

from datetime import date

DAY = date(2026, 3, 2)  # a Monday
TWO_MONTHS, SIX_MONTHS, TWELVE_MONTHS = date(2026, 5, 2), date(2026, 9, 2), date(2027, 3, 2)


def kinds(events):
    return [type(one) for one in events]


def opens(story, key):
    return [r.planned.due_on for r in story.programme.open_rechecks(key)]


def statuses(story):
    return [r.status for r in story.programme.rechecks.values()]

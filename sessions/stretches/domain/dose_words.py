"""A dose in plain words, said to the client. Pure."""

from __future__ import annotations

from sessions.catalogue.domain.terms import Dose

TIMES = {1: "once", 2: "twice"}


def dose_sentences(dose: Dose) -> list[str]:
    """How often, how long, how many rounds, on how many days; what is open is not said."""
    found = [f"Do it {TIMES.get(dose.repetitions, f'{dose.repetitions} times')}."]
    if dose.hold_seconds:
        each = "Hold it" if dose.repetitions == 1 else "Hold each one"
        found.append(f"{each} for {counted(dose.hold_seconds, 'second')}.")
    else:
        found.append("Do not hold; keep moving.")
    if dose.sets > 1:
        found.append(f"Rest, and do {counted(dose.sets, 'round')} in all.")
    if dose.days_per_week == 7:
        found.append("Do this every day.")
    elif dose.days_per_week:
        found.append(f"Do this on {counted(dose.days_per_week, 'day')} of the week.")
    return found


def counted(number: int, word: str) -> str:
    """``1 day``, ``3 days``."""
    return f"{number} {word}" if number == 1 else f"{number} {word}s"

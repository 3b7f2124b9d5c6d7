"""Doses: what is impossible, and what is outside the usual. Pure."""

from __future__ import annotations

from practice.core.reasons import Reason, invalid
from practice.core.terms import Technique
from sessions.catalogue.domain.settings import DoseSettings, UsualDose
from sessions.catalogue.domain.terms import Dose

MAX_REPETITIONS = 100
MAX_SECONDS = 600
MAX_SETS = 20


def technique_words(technique: Technique) -> str:
    """A technique in plain words."""
    return {
        Technique.ACTIVE_ISOLATED: "active isolated",
        Technique.CONTRACT_RELAX: "contract–relax",
        Technique.PASSIVE: "passive",
    }[technique]


def check_dose(dose: Dose) -> None:
    """Refuse a dose that cannot be meant (400)."""
    if not 1 <= dose.repetitions <= MAX_REPETITIONS:
        raise invalid("repetitions", f"Repetitions are 1 to {MAX_REPETITIONS}.")
    if not 0 <= dose.hold_seconds <= MAX_SECONDS:
        raise invalid("hold_seconds", f"A hold is 0 to {MAX_SECONDS} seconds.")
    if not 1 <= dose.sets <= MAX_SETS:
        raise invalid("sets", f"Sets are 1 to {MAX_SETS}.")
    if dose.days_per_week is not None and not 1 <= dose.days_per_week <= 7:
        raise invalid("days_per_week", "Days a week are 1 to 7.")
    if (dose.contract_seconds is not None) != (dose.technique is Technique.CONTRACT_RELAX):
        raise invalid(
            "contract_seconds",
            "Seconds of contraction belong to contract–relax, and it needs them.",
        )
    if dose.contract_seconds is not None and not 1 <= dose.contract_seconds <= MAX_SECONDS:
        raise invalid("contract_seconds", f"A contraction is 1 to {MAX_SECONDS} seconds.")


def _outside(what: str, value: int, usual: tuple[int, int], unit: str) -> str | None:
    low, high = usual
    if low <= value <= high:
        return None
    span = f"{low}" if low == high else f"{low} to {high}"
    return f"{what} {value}{unit}, usual is {span}{unit}"


def dose_warnings(dose: Dose, settings: DoseSettings, *, neck: bool = False) -> list[Reason]:
    """One warning naming every part of a dose that is outside the usual, with what is usual."""
    usual = next((u for u in settings.usual if u.technique is dose.technique), None)
    if usual is None:
        return []
    found = [text for text in _parts(dose, usual, settings, neck=neck) if text]
    if not found:
        return []
    text = f"{technique_words(dose.technique)}: {'; '.join(found)}."
    return [Reason(code="dose_outside_usual", text=text, source=usual.source)]


def _parts(dose: Dose, usual: UsualDose, settings: DoseSettings, *, neck: bool) -> list[str | None]:
    hold = settings.neck_hold_seconds if neck else usual.hold_seconds
    parts = [
        None if neck else _outside("repetitions", dose.repetitions, usual.repetitions, ""),
        _outside("hold", dose.hold_seconds, hold, " s"),
    ]
    if usual.contract_seconds and dose.contract_seconds is not None:
        parts.append(_outside("contraction", dose.contract_seconds, usual.contract_seconds, " s"))
    if dose.days_per_week is not None and dose.days_per_week < settings.static_days_per_week:
        parts.append(
            f"{dose.days_per_week} day a week, usual is at least {settings.static_days_per_week}"
        )
    return parts

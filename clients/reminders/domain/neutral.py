"""Words that no message to a client may bear: whoever sees it learns nothing of their health.
Pure."""

from __future__ import annotations

import re
from typing import Final

CLINICAL: Final = (
    "cancer", "oncolog", "tumor", "tumour", "chemo", "radiation", "radiothera", "surg", "mastect",
    "lymph", "metasta", "breast", "prostat", "scar", "stretch", "re-check", "recheck", "treatment",
    "therap", "diagnos", "patient", "clinic", "medic", "health", "pain", "swelling", "rehab",
    "physio", "massage", "recover", "consent", "touch", "range of motion", "exercise", "wound",
    "cáncer", "quimio", "cirug", "quirúrg", "linf", "mama", "cicatri",
    "estirami",
    "tratamiento", "terap", "diagnóst", "paciente", "clínic", "médic", "salud", "dolor", "hincha",
    "consentimiento", "ejercicio", "herida", "recupera", "rehabilita", "masaje",
)  # fmt: skip
"""Beginnings of words, in small letters."""
_FOUND: Final = re.compile(
    r"\b(?:" + "|".join(re.escape(one) for one in CLINICAL) + ")", re.IGNORECASE
)
NAMELESS: Final = "Your practice"


def clinical_words(text: str) -> list[str]:
    """Those that stand in a text, as they begin."""
    return [one.casefold() for one in _FOUND.findall(text)]


def sender_name(practice_name: str) -> str:
    """The name under which the practice writes: its own, unless that tells something."""
    return NAMELESS if clinical_words(practice_name) else practice_name


def neutral_address(address: str) -> list[str]:
    """The lines of the postal address without those that tell something."""
    lines = [one.strip() for one in address.splitlines()]
    return [one for one in lines if one and not clinical_words(one)]

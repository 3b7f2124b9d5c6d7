"""The short form read back: what it says of every stretch, technique and side."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from clients.health.domain.sites import technique_text
from practice.core.terms import Technique

MODES = ("hands_on", "self_directed", "not_today")
LARGEST_BYTES = 5 * 1024

Key = tuple[str, str, str]


def size(answer: Any) -> int:
    """Bytes of an answer as it travels, uncompressed."""
    return len(json.dumps(answer, ensure_ascii=False, separators=(",", ":"), default=str).encode())


def spoken(short: Any, numbers: list[int], technique: str) -> set[tuple[str, str]]:
    """Codes and texts of some reasons, read with a technique."""
    found = (short["reason_texts"][str(number)] for number in numbers)
    name = technique_text(Technique(technique))
    return {(one["code"], one["text"].replace("{technique}", name)) for one in found}


def plain(reasons: list[Any]) -> set[tuple[str, str]]:
    """Codes and texts of the reasons of the long form."""
    return {(one["code"], one["text"]) for one in reasons}


def of_outcomes(short: Any, stretches: Any, outcomes: Any) -> Iterator[tuple[Key, dict[str, Any]]]:
    for stretch in stretches:
        for one in outcomes:
            for side in one["sides"].split(", "):
                for technique in one["techniques"]:
                    numbers = short["reasons"] + one.get("reasons", [])
                    yield (
                        (stretch, technique, side),
                        {
                            "mode": one["mode"],
                            "planned": one.get("planned", one["mode"]),
                            "limits": one.get("limits", {}),
                            "cautions": spoken(short, one.get("cautions", []), technique),
                            "reasons": spoken(short, numbers, technique),
                            "offered_instead": one.get("offered_instead"),
                        },
                    )


def of_modes(short: Any, stretches: Any, by_side: Any) -> Iterator[tuple[Key, dict[str, Any]]]:
    for stretch in stretches:
        for block in by_side:
            later = {
                technique: mode
                for mode, techniques in block.get("planned", {}).items()
                for technique in techniques
            }
            for side in block["sides"].split(", "):
                for mode in MODES:
                    for technique in block.get(mode, []):
                        yield (
                            (stretch, technique, side),
                            {
                                "mode": mode,
                                "planned": later.get(technique, mode),
                                "limits": block.get("limits", {}),
                                "cautions": spoken(short, block.get("cautions", []), technique),
                            },
                        )


def once(pairs: Iterator[tuple[Key, dict[str, Any]]]) -> dict[Key, dict[str, Any]]:
    """All of them by key; nothing may be said twice."""
    found: dict[Key, dict[str, Any]] = {}
    for key, said in pairs:
        assert key not in found, key
        found[key] = said
    return found


def of_programme(short: Any) -> dict[Key, dict[str, Any]]:
    """What the short permissions say of the programme."""
    return once(
        pair
        for group in short["programme"]
        for pair in of_outcomes(short, group["stretches"], group["outcomes"])
    )


def of_others(short: Any) -> dict[Key, dict[str, Any]]:
    """What the short permissions say of the rest of the catalogue."""
    return once(
        pair
        for group in short["other_stretches"]
        for pair in of_modes(short, group["stretches"], group["by_side"])
    )


def long_verdicts(long: Any) -> dict[Key, dict[str, Any]]:
    """The verdicts of the long form by key."""
    return {
        (one["stretch"], one["technique"], one["side"]): {
            "mode": one["mode"],
            "planned": one["planned"],
            "limits": {limit["movement"]: limit["degrees"] for limit in one["limits"]},
            "cautions": plain(one["cautions"]),
            "reasons": plain(one["reasons"]),
            "offered_instead": one["offered_instead"],
        }
        for one in long["stretch_permissions"]
    }


def never_done(verdict: dict[str, Any]) -> bool:
    """Not today, now and however the day's questions are answered."""
    return {verdict["mode"], verdict["planned"]} == {"not_today"}

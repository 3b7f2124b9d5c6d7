"""The words of a note entered in error taken over to where they belong: the same hour, written at
the wrong place. Pure.

Texts, minutes and what was done are carried into fields that the draft leaves empty, each marked
until its author touches it there. Explanations are not: what is outside permission for the right
client is judged and explained anew. Times of the session and addenda are not either.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any
from uuid import UUID, uuid5

from practice.core.reasons import Rejected
from sessions.notes.domain.content import LINE_PREFIX, LINE_PREFIXES, MINUTES_PREFIX, TEXT_FIELDS
from sessions.notes.domain.findings import DraftFinding

UNTOUCHED = (
    "It is from the note that was entered in error: save it as it holds here (a PATCH that names"
    " it; a PUT that leaves it as it stands confirms nothing), or take it out."
)


def carried_fields(
    note: Mapping[str, Any], session_id: UUID, content: Mapping[str, Any]
) -> dict[str, Any]:
    """What a note in error gives to a draft, by field; nothing where the draft says something.

    ``note``: its texts, ``minutes`` by part and ``not_counted_minutes``, ``lines``, ``cardio``,
    ``strength``, ``spans``. The ids of lines follow from session and line: twice is once.
    """
    found: dict[str, Any] = {name: note[name] for name in TEXT_FIELDS if note[name]}
    found |= {f"{MINUTES_PREFIX}{part}": one for part, one in note["minutes"].items()}
    if note["not_counted_minutes"]:
        found["not_counted_minutes"] = note["not_counted_minutes"]
    for many, prefix in LINE_PREFIXES.items():
        for line in note[many]:
            line_id = str(uuid5(session_id, str(line["line_id"])))
            own = {**line, "line_id": line_id}
            if prefix == LINE_PREFIX:
                own["brought_from"] = None
            found[f"{prefix}{line_id}"] = own
    return {name: one for name, one in found.items() if name not in content}


def carried_findings(untouched: Iterable[str]) -> list[DraftFinding]:
    """Every field that was carried over and not touched yet."""
    return [
        DraftFinding(field=as_sent(name), code="carried_untouched", text=UNTOUCHED)
        for name in untouched
    ]


def check_all_touched(untouched: Iterable[str]) -> None:
    """Refuse to sign, or to send with an addendum, (409) what was carried over and that nobody
    confirmed here."""
    found = [as_sent(name) for name in untouched]
    if found:
        raise Rejected(
            "carried_untouched",
            "Some words are from the note that was entered in error and were not touched here. Save"
            " each as it holds here by a PATCH that names it, or take it out, then sign or send.",
            extra={"untouched": found},
        )


def as_sent(name: str) -> str:
    """A field as findings name it, e.g. ``lines.<id>``."""
    for many, prefix in LINE_PREFIXES.items():
        if name.startswith(prefix):
            return f"{many}.{name.removeprefix(prefix)}"
    return name

"""The columns of a session's flags: of what stands, and of the day's answers over it. Pure.

Each ends by its own end. While the day's answers narrow a session, ``before_day_flag`` keeps
what stands beneath, and under ``day`` what they say; the row shows both.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any, Final

from clients.permissions.domain.results import HandsOnExtent, least_extent, narrower
from practice.core.terms import Mode
from sessions.calendar.domain import events
from sessions.calendar.domain.session_columns import plain, stretches

NO_FLAG: Final[dict[str, Any]] = {
    "flagged": False,
    "flag_reasons": [],
    "flag_cause": "",
    "narrowed": [],
}
OF_FLAG: Final = (*NO_FLAG, "mode", "hands_on", "closed")
DAY: Final = "day"


def flag_set(row: dict[str, Any], event: events.SessionFlagged, at: datetime) -> dict[str, Any]:
    """What a flag changes, beneath or beside the one that stands."""
    beneath = row["before_day_flag"] or {one: row[one] for one in OF_FLAG}
    told = {
        "flagged": True,
        "narrowed": stretches(event.narrowed, event.reasons),
        "flag_reasons": plain(event.reasons),
        "flag_cause": event.cause,
    }
    if event.of_day:
        day = {**told, "mode": event.now.value, "hands_on": event.extent.value}
        return {**_both({**beneath, DAY: day}), "flagged_at": at}
    stands = {**beneath, **told, **_narrowest(beneath, event.now, event.extent)}
    changes = _both(stands) if DAY in stands else {one: stands[one] for one in OF_FLAG}
    widest = {"widest_mode": event.now, "widest_hands_on": event.extent}
    return {**changes, **widest, "flagged_at": at}


def flag_gone(row: dict[str, Any], event: events.SessionFlagEnded) -> dict[str, Any]:
    """What the end of a flag changes: that of the day's answers stays, where it stands."""
    modes = {"mode": event.mode.value, "hands_on": event.extent.value}
    widest = {"widest_mode": event.mode, "widest_hands_on": event.extent}
    beneath = row["before_day_flag"]
    if beneath and DAY in beneath:
        return {**_both({**beneath, **NO_FLAG, **modes}), **widest}
    return {**NO_FLAG, **modes, **widest, "flagged_at": None}


def day_flag_gone(row: dict[str, Any]) -> dict[str, Any]:
    """What the end of the day's flag changes: what stands beneath is shown again."""
    beneath = row["before_day_flag"]
    if not beneath:
        return {}
    return {**{one: beneath[one] for one in OF_FLAG}, "before_day_flag": None}


def _both(kept: dict[str, Any]) -> dict[str, Any]:
    """The day's flag over what stands beneath it, whose reasons come first."""
    day = kept[DAY]
    shown: dict[str, Any] = {
        name: [*kept[name], *(one for one in day[name] if one not in kept[name])]
        for name in ("flag_reasons", "narrowed")
    }
    narrowest = _narrowest(kept, Mode(day["mode"]), HandsOnExtent(day["hands_on"]))
    cause = {"flagged": True, "flag_cause": day["flag_cause"]}
    return {**shown, **narrowest, **cause, "before_day_flag": kept}


def _narrowest(kept: dict[str, Any], mode: Mode, extent: HandsOnExtent) -> dict[str, str]:
    return {
        "mode": narrower(Mode(kept["mode"]), mode).value,
        "hands_on": least_extent(HandsOnExtent(kept["hands_on"]), extent).value,
    }

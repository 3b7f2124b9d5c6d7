"""The row of the provider preference. Pure."""

from __future__ import annotations

from clients.domain.events import (
    PreferenceExceptionAgreed,
    PreferenceStated,
)
from clients.domain.projecting.rows import instant, plain
from practice.domain.events import Recorded
from practice.domain.projecting import Rows, projector


@projector("clients.Preference", PreferenceStated, PreferenceExceptionAgreed)
def preference_row(rows: Rows, rec: Recorded) -> None:
    """The preference stated last, and the exceptions agreed since."""
    row = rows.get(rec.stream) or {"exceptions": [], "stated_at": None, "stated_version": 0}
    match rec.data:
        case PreferenceStated(preference=stated):
            if row["stated_at"] is not None and row["stated_at"] > rec.effective_at:
                return
            row["stated_at"], row["stated_version"] = rec.effective_at, rec.version
            row["scope"] = stated.scope if stated else ""
            row["gender"] = (stated.gender or "") if stated else ""
            row["practitioners"] = plain(stated.practitioners) if stated else []
        case PreferenceExceptionAgreed() as event:
            agreed = {"agreed_at": instant(rec), "version": rec.version}
            row["exceptions"] = [*row["exceptions"], {**plain(event), **agreed}]
    rows.put(rec.stream, row)

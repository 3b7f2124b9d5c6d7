"""The row of the provider preference. Pure."""

from __future__ import annotations

from clients.identity.domain.rows import instant, to_json
from clients.preference.domain.events import PreferenceExceptionAgreed, PreferenceStated
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, projection


@projection("clients.Preference", PreferenceStated, PreferenceExceptionAgreed)
def preference_row(rows: ProjectedRows, rec: RecordedEvent) -> None:
    """The preference stated last, and the exceptions agreed since."""
    row = rows.get(rec.stream) or {"exceptions": [], "stated_at": None, "stated_version": 0}
    match rec.data:
        case PreferenceStated(preference=stated):
            if row["stated_at"] is not None and row["stated_at"] > rec.occurred_at:
                return
            row["stated_at"], row["stated_version"] = rec.occurred_at, rec.version
            row["scope"] = stated.scope if stated else ""
            row["gender"] = (stated.gender or "") if stated else ""
            row["practitioner_ids"] = to_json(stated.practitioner_ids) if stated else []
        case PreferenceExceptionAgreed() as event:
            agreed = {"agreed_at": instant(rec), "version": rec.version}
            row["exceptions"] = [*row["exceptions"], {**to_json(event), **agreed}]
    rows.put(rec.stream, row)

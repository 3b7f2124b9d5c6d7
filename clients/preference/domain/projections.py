"""The row of the provider preference: the one stated last and the exceptions agreed. Pure."""

from __future__ import annotations

from clients.identity.domain.rows import instant, to_json
from clients.preference.domain import events
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRow, ProjectedRows, Projection

PREFERENCE_ROWS = Projection("clients.Preference", watches=(events,))


@PREFERENCE_ROWS.on(events.PreferenceStated)
def stated(rows: ProjectedRows, event: events.PreferenceStated, meta: RecordedEvent) -> None:
    row = rows.get(meta.stream) or _unstated()
    if row["stated_at"] is not None and meta.order < (
        row["stated_at"],
        row["stated_recorded_at"],
        row["stated_version"],
    ):
        return
    preference = event.preference
    row["stated_at"], row["stated_recorded_at"], row["stated_version"] = meta.order
    row["scope"] = preference.scope if preference else ""
    row["gender"] = (preference.gender or "") if preference else ""
    row["practitioner_ids"] = to_json(preference.practitioner_ids) if preference else []
    rows.put(meta.stream, row)


@PREFERENCE_ROWS.on(events.PreferenceExceptionAgreed)
def exception_agreed(
    rows: ProjectedRows, event: events.PreferenceExceptionAgreed, meta: RecordedEvent
) -> None:
    row = rows.get(meta.stream) or _unstated()
    agreed = {
        "agreed_at": instant(meta.occurred_at),
        "recorded_at": instant(meta.recorded_at),
        "version": meta.version,
    }
    rows.put(meta.stream, {**row, "exceptions": [*row["exceptions"], {**to_json(event), **agreed}]})


def _unstated() -> ProjectedRow:
    return {"exceptions": [], "stated_at": None, "stated_recorded_at": None, "stated_version": 0}

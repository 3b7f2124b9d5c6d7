"""The rows of running periods say what the fold of the record says."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from uuid import UUID, uuid4, uuid5

from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs

from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.authorizations.domain.terms import Discipline
from billing.progress_notes.domain.events import ProgressNoteEnteredInError, ProgressNoteRecorded
from billing.progress_notes.domain.projections import TREATMENT_PERIOD_ROWS, period_id
from billing.progress_notes.domain.state import PROGRESS_NOTES
from billing.progress_notes.domain.terms import KeptAs
from practice.core.events import Event, RecordedEvent
from practice.core.terms import Credential
from practice.work.projection_runner import MemoryRows, run_projection
from tests.billing.progress_notes.test_counting import EVALUATED, visit

STREAM, AT = UUID(int=42), datetime(2026, 3, 2, 15, 0, tzinfo=UTC)
PT = Discipline.PHYSICAL_THERAPY


def day(number: int) -> date:
    return EVALUATED + timedelta(days=number)


def treated(number: int, *, took_place: bool = True) -> Event:
    """A day as calculated; without its sessions once they were entered in error."""
    found = visit(*([Credential.PHYSICAL_THERAPIST] if took_place else []))
    named = uuid5(STREAM, str(number))
    return structs.replace(found, visit_id=named, local_date=day(number))


def wrote(note_id: UUID, until: int) -> Event:
    return ProgressNoteRecorded(
        progress_note_id=note_id,
        discipline=PT,
        written_on=day(60),
        covers_until=day(until),
        author_id=uuid4(),
        credential=Credential.PHYSICAL_THERAPIST,
        kept_as=KeptAs.PAPER,
    )


def recorded(*happened: Event) -> list[RecordedEvent]:
    return [
        RecordedEvent(number, STREAM, number, "", AT, AT, STREAM, "request", one)
        for number, one in enumerate(happened, 1)
    ]


def row_of(*happened: Event) -> dict[str, object]:
    rows = MemoryRows(STREAM)
    run_projection(TREATMENT_PERIOD_ROWS, rows, recorded(*happened))
    return rows.get(period_id(STREAM, PT)) or {}


def test_a_day_whose_notes_are_all_in_error_is_none_any_more() -> None:
    row = row_of(treated(0), treated(1), treated(1, took_place=False))
    assert (row["day_count"], row["last_day"]) == (1, day(0))
    row = row_of(treated(0), treated(0, took_place=False))
    assert (row["day_count"], row["begins_on"], row["last_day"]) == (0, None, None)


NOTE = st.integers(0, 3).map(lambda number: UUID(int=number + 1))
HAPPENED = st.one_of(
    st.builds(treated, st.integers(0, 12), took_place=st.booleans()),
    st.builds(wrote, NOTE, st.integers(0, 12)),
    st.builds(
        ProgressNoteEnteredInError,
        progress_note_id=NOTE,
        discipline=st.just(PT),
        reason=st.just("misread"),
    ),
)


@given(st.lists(HAPPENED, max_size=14))
def test_the_row_agrees_with_the_fold_of_the_record(happened: list[Event]) -> None:
    known: set[UUID] = set()
    story = []
    for one in happened:  # A note is recorded once, and taken back after that.
        if isinstance(one, ProgressNoteRecorded):
            if one.progress_note_id in known:
                continue
            known.add(one.progress_note_id)
        elif isinstance(one, ProgressNoteEnteredInError) and one.progress_note_id not in known:
            continue
        story.append(one)
    balance, notes = AUTHORIZATION_BALANCE.initial(), PROGRESS_NOTES.initial()
    for meta in recorded(*story):
        AUTHORIZATION_BALANCE.apply(balance, meta)
        PROGRESS_NOTES.apply(notes, meta)
    state = PROGRESS_NOTES.freeze(notes)
    period = state.of(PT, AUTHORIZATION_BALANCE.freeze(balance)).running_period()
    row = row_of(*story)
    assert row.get("day_count", 0) == len(period)
    assert row.get("begins_on") == (period[0] if period else None)
    assert row.get("last_day") == (period[-1] if period else None)

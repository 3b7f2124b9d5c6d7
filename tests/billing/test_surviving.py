"""What of billing survives the erasure of a record, and that nothing else does."""

from __future__ import annotations

from typing import Any

import msgspec

from billing.authorizations.domain.projections import AUTHORIZATION_ROWS, VISIT_ROWS
from billing.summaries.domain.decisions import VISIT_SUMMARY
from billing.summaries.domain.events import RecordDisclosed
from billing.summaries.domain.projections import DISCLOSURE_ROWS
from billing.summaries.domain.retention import RETAINED_FACTS
from billing.summaries.domain.state import DISCLOSURES
from practice.audit.domain.events import RecordClosed
from practice.core.decisions import States
from practice.core.events import registry
from practice.work.projection_runner import MemoryRows
from tests.billing.streams import CARDIO, STRETCHING, Stream, lines, named


def treated_stream() -> Stream:
    stream = Stream()
    stream.authorize(lines=lines(S=12, C=None), member_id="CANARY-1", diagnoses=("M25.611",))
    stream.sign({STRETCHING: 33, CARDIO: 7})
    stream.add(
        RecordDisclosed(
            disclosure_id=named("disclosure"),
            what=VISIT_SUMMARY,
            recipient="Lakeshore claims",
            purpose="review",
            authorization_id=named("authorization"),
            payer_id=named("payer"),
        )
    )
    return stream


def closing(stream: Stream) -> RecordClosed:
    builder = DISCLOSURES.initial()
    for one in stream.events:
        DISCLOSURES.apply(builder, one)
    states = States(
        {
            "authorization_balance": stream.authorization_balance,
            "disclosures": DISCLOSURES.freeze(builder),
        }
    )
    return RecordClosed(
        erasure_id=named("order"),
        ordered_by=named("owner"),
        retained_facts={"billing": RETAINED_FACTS.retain(states)},
    )


def rows(stream: Stream, projection: Any) -> dict[str, Any]:
    made = MemoryRows(named("client"))
    for one in stream.events:
        projection.apply(made, one)
    (row,) = made.rows.values()
    return row


def test_authorization_dates_minutes_units_and_disclosures_survive() -> None:
    stream = treated_stream()
    before = [rows(stream, one) for one in (AUTHORIZATION_ROWS, VISIT_ROWS, DISCLOSURE_ROWS)]
    closed = closing(stream)
    stream.events.clear()
    stream.add(closed)
    after = [rows(stream, one) for one in (AUTHORIZATION_ROWS, VISIT_ROWS, DISCLOSURE_ROWS)]
    gone = {
        "member_id": "",
        "diagnoses": [],
        "recorded_at": after[0]["recorded_at"],
    }
    assert after[0] == {**before[0], **gone}
    for name in (
        "local_date",
        "used_units",
        "used_units_total",
        "covered",
        "authorization_id",
        "payer_id",
    ):
        assert after[1][name] == before[1][name]
    assert after[1]["sessions"][0]["minutes"] == before[1]["sessions"][0]["minutes"]
    assert {**after[2], "version": 0} == {**before[2], "version": 0}


def test_no_member_id_diagnosis_session_or_note_survives() -> None:
    stream = treated_stream()
    text = registry.encode(closing(stream)).decode()
    for word in ("CANARY-1", "M25.611", str(named("note")), str(named("session of note"))):
        assert word not in text


def test_the_closing_event_reads_back_to_the_same_rows() -> None:
    stream = treated_stream()
    closed = closing(stream)
    again = registry.decode("record.closed", 1, registry.encode(closed))
    made = []
    for one in (closed, again):
        stream.events.clear()
        stream.add(one)
        made.append([rows(stream, p) for p in (AUTHORIZATION_ROWS, VISIT_ROWS, DISCLOSURE_ROWS)])
        for row in made[-1]:
            row.pop("recorded_at", None)
            row.pop("calculated_at", None)
    assert msgspec.to_builtins(made[0]) == msgspec.to_builtins(made[1])

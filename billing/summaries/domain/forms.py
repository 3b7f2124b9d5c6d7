"""The forms of a visit summary: JSON, and CSV in two dialects by Python's csv module. Pure.

CSV has one kind of row, one for each visit × service code (RFC 4180: CRLF, one heading). The
totals and the corrections field by field stand in the JSON alone. ``plain`` leaves every value
as it is, for programs. ``spreadsheet`` begins with the UTF-8 mark and puts an apostrophe in
front of what a spreadsheet would take for a formula, and of each identifier, or it would drop
leading zeros and make a number of 12E5.
"""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Iterable, Mapping
from enum import StrEnum
from typing import Any, Final

import msgspec

from billing.summaries.domain.document import SummaryDocument, SummaryHeading, SummaryRow


class SummaryForm(StrEnum):
    """The forms in which a summary is kept; the two dialects are CSV."""

    JSON = "json"
    PLAIN = "plain"
    SPREADSHEET = "spreadsheet"


COLUMNS: Final = (
    "date",
    "client",
    "birth_date",
    "payer",
    "authorization_number",
    "member_id",
    "diagnoses",
    "discipline",
    "practitioner",
    "credential",
    "npi",
    "facility",
    "service_code",
    "description",
    "minutes",
    "units",
    "units_waiting_at_most",
    "covered",
    "reasons",
    "used_after_end",
    "signed_at",
    "signed_by",
    "sent_on",
    "correction",
    "correction_reason",
)
IDENTIFIERS: Final = frozenset(
    {"authorization_number", "member_id", "npi", "service_code", "diagnoses"}
)
UTF8_MARK: Final = "\ufeff"
_FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""Beginnings that spreadsheets evaluate, full-width forms too (OWASP, "CSV Injection")."""


def forms_of(document: SummaryDocument) -> dict[str, str]:
    """The text of each form by its name."""
    cells = [_cells(document.heading, row) for row in document.rows]
    return {
        SummaryForm.JSON.value: msgspec.json.encode(document).decode(),
        SummaryForm.PLAIN.value: csv_text(cells),
        SummaryForm.SPREADSHEET.value: UTF8_MARK + csv_text(_guarded(row) for row in cells),
    }


def digests_of(forms: Mapping[str, str]) -> dict[str, str]:
    """The SHA-256 of the bytes of each form, in hexadecimal."""
    return {name: hashlib.sha256(text.encode()).hexdigest() for name, text in forms.items()}


def csv_text(rows: Iterable[Mapping[str, Any]]) -> str:
    """Rows below one heading."""
    file = io.StringIO(newline="")
    writer = csv.writer(file, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    writer.writerows([row[column] for column in COLUMNS] for row in rows)
    return file.getvalue()


def guarded(value: object) -> object:
    """A value that no spreadsheet takes for a formula; numbers and days stay what they are."""
    if not isinstance(value, str):
        return value
    text = value.replace("\0", "")  # some readers stop there
    starts = text.lstrip(" \u00a0\ufeff").startswith(_FORMULA_STARTS)
    return f"'{text}" if starts else text


def _guarded(row: Mapping[str, Any]) -> dict[str, Any]:
    return {
        column: f"'{value}" if column in IDENTIFIERS and value else guarded(value)
        for column, value in row.items()
    }


def _cells(heading: SummaryHeading, row: SummaryRow) -> dict[str, Any]:
    of_all = {
        "client": heading.client,
        "birth_date": heading.birth_date,
        "payer": heading.payer,
        "authorization_number": heading.authorization_number,
        "member_id": heading.member_id,
        "diagnoses": "; ".join(heading.diagnoses),
    }
    return {
        column: of_all[column] if column in of_all else getattr(row, column) for column in COLUMNS
    }

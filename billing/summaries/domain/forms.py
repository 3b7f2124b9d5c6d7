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
from collections.abc import Callable, Iterable, Iterator, Mapping
from enum import StrEnum
from operator import attrgetter
from typing import Final

import msgspec

from billing.summaries.domain.document import SummaryDocument, SummaryHeading, SummaryRow


class SummaryForm(StrEnum):
    """The forms in which a summary is kept; the two dialects are CSV."""

    JSON = "json"
    PLAIN = "plain"
    SPREADSHEET = "spreadsheet"


OF_HEADING: Final = (
    "client",
    "birth_date",
    "payer",
    "authorization_number",
    "member_id",
    "diagnoses",
)
OF_ROW: Final = (
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
COLUMNS: Final = ("date", *OF_HEADING, *OF_ROW)
IDENTIFIERS: Final = frozenset(
    {"authorization_number", "member_id", "npi", "service_code", "diagnoses"}
)
Cells = tuple[object, ...]
"""One row: a value for each of ``COLUMNS``."""
UTF8_MARK: Final = "\ufeff"
_FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""Beginnings that spreadsheets evaluate, full-width forms too (OWASP, "CSV Injection")."""


def forms_of(document: SummaryDocument) -> dict[str, str]:
    """The text of each form by its name."""
    cells = list(cells_of(document))
    return {
        SummaryForm.JSON.value: msgspec.json.encode(document).decode(),
        SummaryForm.PLAIN.value: csv_text(cells),
        SummaryForm.SPREADSHEET.value: UTF8_MARK + csv_text(map(_guarded, cells)),
    }


def digests_of(forms: Mapping[str, str]) -> dict[str, str]:
    """The SHA-256 of the bytes of each form, in hexadecimal."""
    return {name: hashlib.sha256(text.encode()).hexdigest() for name, text in forms.items()}


def cells_of(document: SummaryDocument) -> Iterator[Cells]:
    """The cells of each row in the order of ``COLUMNS``."""
    heading = _heading_cells(document.heading)
    for row in document.rows:
        yield row.date, *heading, *_row_cells(row)


def csv_text(rows: Iterable[Cells]) -> str:
    """Rows below one heading."""
    file = io.StringIO(newline="")
    writer = csv.writer(file, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    writer.writerows(rows)
    return file.getvalue()


def guarded(value: object) -> object:
    """A value that no spreadsheet takes for a formula; numbers and days stay what they are."""
    if not isinstance(value, str):
        return value
    if value[:1].isalnum() and "\0" not in value:  # as most are: nothing to look for
        return value
    text = value.replace("\0", "")  # some readers stop there
    starts = text.lstrip(" \u00a0\ufeff").startswith(_FORMULA_STARTS)
    return f"'{text}" if starts else text


def _guarded(cells: Cells) -> Cells:
    return tuple(
        f"'{value}" if is_identifier and value else guarded(value)
        for is_identifier, value in zip(_ARE_IDENTIFIERS, cells, strict=True)
    )


def _heading_cells(heading: SummaryHeading) -> Cells:
    diagnoses = "; ".join(heading.diagnoses)
    return *(getattr(heading, name) for name in OF_HEADING[:-1]), diagnoses


_row_cells: Callable[[SummaryRow], Cells] = attrgetter(*OF_ROW)
_ARE_IDENTIFIERS: Final = tuple(column in IDENTIFIERS for column in COLUMNS)

"""Cells of a CSV file that no spreadsheet takes for a formula. Pure."""

from __future__ import annotations

from typing import Final

_STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""Beginnings that spreadsheets evaluate, full-width forms too (OWASP, "CSV Injection")."""


def cell(value: object) -> str:
    """A value as the text of a cell: numbers as they are, text never as a formula.

    Text that begins like a formula, also after blanks, gets an apostrophe in front,
    which spreadsheets show as text. NUL characters, which some readers stop at, go.
    """
    if value is None:
        return ""
    if isinstance(value, int):
        return str(value)
    text = str(value)
    if text[:1].isalnum() and "\0" not in text:  # most cells: nothing to look into
        return text
    text = text.replace("\0", "")
    return f"'{text}" if text.lstrip(" \u00a0\ufeff").startswith(_STARTS) else text

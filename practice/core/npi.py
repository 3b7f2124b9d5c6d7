"""National Provider Identifier: ten digits with a check digit. Pure.

Luhn over the prefix 80840 and the ten digits, first digit 1 or 2 (CMS; ISO/IEC
7812-1). Published example: 1234567893.
"""

from __future__ import annotations


def npi_is_valid(text: str) -> bool:
    """Whether ten digits are a well-formed identifier."""
    if len(text) != 10 or not (text.isascii() and text.isdigit()) or text[0] not in "12":
        return False
    total = 0
    for place, digit in enumerate(reversed("80840" + text)):
        value = int(digit) * (2 if place % 2 else 1)
        total += value - 9 if value > 9 else value
    return total % 10 == 0

"""National Provider Identifier: Luhn over 80840 and ten digits (CMS; ISO/IEC 7812-1)."""

import pytest

from practice.core.npi import npi_is_valid


def test_the_published_example_is_valid() -> None:
    assert npi_is_valid("1234567893")


@pytest.mark.parametrize("digit", [d for d in "0123456789" if d != "3"])
def test_every_other_check_digit_is_wrong(digit: str) -> None:
    assert not npi_is_valid(f"123456789{digit}")


@pytest.mark.parametrize("place", range(10))
def test_one_changed_digit_is_always_caught(place: int) -> None:
    right = "1234567893"
    for digit in "0123456789":
        changed = right[:place] + digit + right[place + 1 :]
        assert npi_is_valid(changed) == (changed == right)


@pytest.mark.parametrize(
    "text", ["", "123456789", "12345678931", "3234567893", "123456789x", "١٢٣٤٥٦٧٨٩٣"]
)
def test_what_is_no_identifier_is_not_valid(text: str) -> None:
    assert not npi_is_valid(text)

"""The planter itself: where a fault fits, and that a swapped function does something else."""

import pytest

from tests.faults import ROOT, Fault
from tests.faults.fitting import place_of, replaced
from tests.faults.swapping import NotSwappable, swap, swappable

SOURCE = """
LIMIT = 8


class Rule:
    def holds(self, minutes):
        return (
            minutes >= LIMIT
            and minutes < 120
        )


def holds(minutes):
    return minutes >= LIMIT
"""


def test_a_text_is_looked_for_within_its_definition_only():
    start, end = place_of(SOURCE, "holds", json_file=False)
    assert SOURCE[start:end] == "def holds(minutes):\n    return minutes >= LIMIT\n"


def test_a_line_break_moves_no_fault():
    start, end = place_of(SOURCE, "Rule.holds", json_file=False)
    inside = SOURCE[start:end]
    changed = replaced(inside, ">= LIMIT and minutes < 120", "> LIMIT and minutes < 120")
    assert "minutes > LIMIT and minutes < 120\n        )" in changed


@pytest.mark.parametrize("old", ["minutes", "nowhere at all", ""])
def test_a_fault_fits_exactly_one_place(old):
    with pytest.raises(ValueError, match="places"):
        replaced("minutes + minutes", old, "0")


def test_a_threshold_in_json_is_found_by_its_key():
    text = '{"first": {"value": 8}, "second": {"value": 8}}'
    start, end = place_of(text, "second", json_file=True)
    assert replaced(text[start:end], "8", "9") == '{"value": 9}'


def fault(target: str, old: str, new: str) -> Fault:
    return Fault("toy", target, old, new, ("tests/faults/test_planting.py",), "a control")


def test_constants_and_headers_need_a_process_of_their_own():
    place = "tests.faults.test_planting"
    assert not swappable(fault(f"{place}:LIMIT_OF_THIS_FILE", "8", "9"))
    assert not swappable(fault(f"{place}:doubled", "factor=2", "factor=3"))
    assert swappable(fault(f"{place}:doubled", "minutes * factor", "minutes + factor"))


LIMIT_OF_THIS_FILE = 8


def doubled(minutes, factor=2):
    return minutes * factor


def test_a_swapped_function_is_the_same_object_with_another_answer():
    before, kept = doubled, doubled.__code__
    try:
        swap(fault("tests.faults.test_planting:doubled", "minutes * factor", "minutes + factor"))
        assert before(5) == 7
    finally:
        doubled.__code__ = kept
    assert doubled(5) == 10


def test_a_name_that_is_not_there_says_so():
    with pytest.raises(ValueError, match="there is no"):
        fault("billing.units.domain.units:no_such_rule", "a", "b").planted(
            (ROOT / "billing/units/domain/units.py").read_text()
        )
    with pytest.raises(NotSwappable):
        swap(fault("fixtures/settings/permissions.json:contract_relax_weeks", "8", "7"))

"""The table of what a paper would lift speaks of reasons that the rules give, and of all that
wait for a clearance."""

from __future__ import annotations

import re
from pathlib import Path

from clients.permissions.domain import evaluation
from clients.permissions.domain.lifted_by import CLEARANCE_LIFTS, SIGNATURE_LIFTS

RULES = Path(evaluation.__file__).parent
CODE = re.compile(r'"([a-z_]+\.[a-z_]+)"')
NOT_LIFTED = {
    "load.clearance_not_asked": "a review answers it: whether a clearance is needed at all",
}
"""Codes that speak of a clearance and are answered otherwise."""


def codes() -> set[str]:
    """Every code that a rule gives."""
    texts = (one.read_text() for one in RULES.glob("*.py") if one.stem != "lifted_by")
    return {code for text in texts for code in CODE.findall(text)}


def test_each_code_that_a_paper_lifts_is_one_that_a_rule_gives() -> None:
    assert not {*CLEARANCE_LIFTS, *SIGNATURE_LIFTS} - codes()


def test_no_reason_that_speaks_of_a_clearance_is_left_out() -> None:
    spoken = {code for code in codes() if "clearance" in code}
    assert spoken - CLEARANCE_LIFTS.keys() == NOT_LIFTED.keys()

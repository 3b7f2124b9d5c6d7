"""Preparation, neck, arms: the order for people at risk of arm swelling (common practice, no
source), and the warning of pooling in the trunk where preparation is missing."""

import json

import msgspec
import pytest

from sessions.catalogue.domain.content import StretchContent, stretch_spec
from sessions.catalogue.domain.order import order_warnings
from tests.sessions.shipped import FIXTURES

CATALOGUE = json.loads((FIXTURES / "stretches.json").read_text())
SPECS = {
    code: stretch_spec(msgspec.convert(content, StretchContent), code=code, version=1)
    for code, content in CATALOGUE.items()
}


@pytest.mark.parametrize(
    ("done", "codes"),
    [
        (["pelvic_tilts", "chin_to_chest", "abduction_pattern"], []),
        (["breathing", "abduction_pattern"], []),
        (["abduction_pattern"], ["order.preparation"]),
        (["abduction_pattern", "pelvic_tilts"], ["order.preparation"]),
        (["curls", "triceps", "ear_to_shoulder"], ["order.neck_before_arms"]),
        (["triceps", "ear_to_shoulder"], ["order.preparation", "order.neck_before_arms"]),
        (["walking", "hip_flexors"], []),
        ([], []),
    ],
)
def test_what_is_out_of_order_is_named(done: list[str], codes: list[str]) -> None:
    assert [one.code for one in order_warnings(done, SPECS)] == codes

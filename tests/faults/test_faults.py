"""Every planted fault of the list still fits exactly one place and names tests that exist."""

from __future__ import annotations

import ast
import json

import pytest

from tests.faults import ROOT, Fault, faults
from tests.faults.fitting import span

FAULTS = list(faults())


@pytest.mark.parametrize("fault", FAULTS, ids=lambda one: f"{one.area}:{one.target}:{one.old[:20]}")
def test_a_fault_fits_one_place_and_changes_it(fault: Fault) -> None:
    source = (ROOT / fault.path).read_text()
    planted = fault.planted(source)
    if fault.path.suffix == ".py":
        assert ast.dump(ast.parse(planted)) != ast.dump(ast.parse(source))
    else:
        assert json.loads(planted) != json.loads(source)
    assert fault.why


def test_the_tests_of_the_faults_exist() -> None:
    missing = set()
    for fault in FAULTS:
        assert fault.tests
        for test in fault.tests:
            path, _, name = test.partition("::")
            if not (ROOT / path).exists():
                missing.add(test)
            elif name:
                try:
                    span((ROOT / path).read_text(), name.split("[")[0].replace("::", "."))
                except ValueError:
                    missing.add(test)
    assert not missing

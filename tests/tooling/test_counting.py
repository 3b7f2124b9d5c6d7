"""Counts of the test command: nothing that failed may count as passed."""

from __future__ import annotations

import pytest

from practice.management.test_steps import Step, count

JUNIT = '<testsuites><testsuite tests="{}" failures="{}" errors="{}" skipped="{}"/></testsuites>'


def step_of(tmp_path, text=None):
    counts = tmp_path / "counts.xml"
    if text is not None:
        counts.write_text(text)
    return Step("sqlite", ("pytest",), {}, counts)


@pytest.mark.parametrize(("status", "counted"), [(0, (1, 0, 0)), (1, (0, 1, 0))])
def test_check_counts_as_one(status, counted):
    assert count(Step("lint", ("ruff",)), status) == counted


def test_failures_and_errors_are_failed_and_skipped_are_neither(tmp_path):
    assert count(step_of(tmp_path, JUNIT.format(10, 2, 1, 3)), 1) == (4, 3, 3)


def test_run_that_failed_without_a_failed_test_is_one_failure(tmp_path):
    assert count(step_of(tmp_path, JUNIT.format(0, 0, 0, 0)), 5) == (0, 1, 0)


@pytest.mark.parametrize("text", [None, "", "<testsuites/>"])
def test_run_that_wrote_no_counts_is_one_failure(tmp_path, text):
    assert count(step_of(tmp_path, text), 2) == (0, 1, 0)

"""What a process keeps of payers: whatever changes a row, by another process and past the program
too, is seen by its next request."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from billing.payers.models import PastPayerRules, Payer, ServiceCode, ServiceMap
from billing.payers.selectors import has_payers, known_codes, payer_rules, payers_in_use
from practice.core.terms import Credential
from practice.work import request_cache
from practice.work.request_cache import caching
from tests.billing.practice_rows import payer
from tests.tooling.kept import another_process, changeable

pytestmark = pytest.mark.django_db
RATE = [{"code": "STR15", "amount": "41.50"}]
THRESHOLD = [{"measure": "units", "value": "60", "source": "the contract", "codes": ["STR15"]}]


def _earlier(row: Payer) -> None:
    columns = {one.attname for one in PastPayerRules._meta.concrete_fields} - {
        "id",
        "payer_id",
        "services",
    }
    kept = {name: getattr(row, name) for name in columns if hasattr(row, name)}
    PastPayerRules.objects.create(payer=row, **kept, until=date(2026, 1, 1), services=[])


CHANGES: dict[str, Callable[[Payer], Any]] = {
    "its name": lambda _: Payer.objects.update(name="Another"),
    "whose time it pays": lambda _: Payer.objects.update(
        paid_credentials=[Credential.PERSONAL_TRAINER.value]
    ),
    "a rate": lambda _: Payer.objects.update(rates=RATE),
    "a threshold": lambda _: Payer.objects.update(yearly_thresholds=THRESHOLD),
    "its revision": lambda _: Payer.objects.update(revision=9),
    "a code": lambda _: ServiceCode.objects.filter(code="STR15").update(code="STR30"),
    "an untimed code": lambda _: ServiceCode.objects.update(timed=False),
    "its map of codes": lambda _: ServiceMap.objects.all().delete(),
    "rules of earlier days": _earlier,
}


@pytest.mark.parametrize("name", CHANGES)
def test_changed_rules_of_a_payer_are_seen_by_the_next_request(name: str) -> None:
    row = payer()
    with caching():
        before = payer_rules({row.pk})
    with another_process():
        payer_rules({row.pk})
        CHANGES[name](row)
    with caching():
        assert payer_rules({row.pk}) != before


def test_a_payer_and_a_code_out_of_use_are_seen_by_the_next_request() -> None:
    row = payer()
    with caching():
        assert payers_in_use() == {row.pk}
        assert "STR15" in known_codes().service_codes
    with another_process():
        Payer.objects.update(is_active=False)
        ServiceCode.objects.update(is_active=False)
    with caching():
        assert not has_payers()
        assert known_codes().service_codes == frozenset()


def test_rules_that_are_kept_cannot_be_changed_by_who_gets_them() -> None:
    row = payer(rates=RATE, yearly_thresholds=THRESHOLD)
    _earlier(row)
    with another_process():
        payer_rules({row.pk})
        known_codes()
        held = {key: value for (_, key), (_, value) in request_cache._kept.items()}
    assert {"payer rules", "codes in use", "practitioner names"} <= held.keys()
    assert [one for value in held.values() for one in changeable(value)] == []

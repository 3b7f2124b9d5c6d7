"""Payers and service codes as they stand."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import date
from decimal import Decimal
from types import MappingProxyType
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from billing.payers.domain.rates import ThresholdMeasure, YearlyThreshold
from billing.payers.domain.rules import (
    KnownCodes,
    PayerRules,
    PayerRulesById,
    ProgressNoteRule,
    UnitRule,
    VisitDefinition,
)
from billing.payers.models import PastPayerRules, Payer, ServiceCode
from practice.clock import clock
from practice.core.localtime import local_day
from practice.core.reasons import existing
from practice.core.terms import Credential, SessionPart
from practice.people_and_places.selectors.kept import practitioner_names
from practice.work.request_cache import memoize
from sessions.calendar.selectors.facilities import zone_of


def practice_today() -> date:
    """The day it is on the practice's clock."""
    return local_day(clock.now(), zone_of(None))


def payer_list() -> QuerySet[Payer]:
    """Every payer with its map of parts to service codes and its rules of earlier days."""
    return Payer.objects.prefetch_related("services__service_code", "past_rules")


def payer_exists(payer_id: UUID) -> bool:
    """Whether there is a payer with that id."""
    return Payer.objects.filter(pk=payer_id).exists()


def payer_get(payer_id: UUID) -> Payer:
    """One payer; Rejected 404 where there is none."""
    return existing(payer_list().filter(pk=payer_id).first(), "payer")


def has_payers() -> bool:
    """Whether the practice has any payer in use."""
    return bool(payers_in_use())


def payers_in_use() -> frozenset[UUID]:
    """The payers that new authorizations may name."""
    payers = Payer.objects.filter(is_active=True)
    return memoize("payers in use", lambda: frozenset(payers.values_list("pk", flat=True)))


def service_code_list() -> QuerySet[ServiceCode]:
    """Every service code of the practice."""
    return ServiceCode.objects.all()


def service_code_get(code_id: UUID) -> ServiceCode:
    """One service code; Rejected 404 where there is none."""
    return existing(service_code_list().filter(pk=code_id).first(), "service code")


def payer_rules(payer_ids: Collection[UUID]) -> PayerRulesById:
    """The rules of some payers, of earlier days too, as the pure decisions are given them."""
    if not payer_ids:
        return {}
    known = _all_rules()
    return {one: known[one] for one in payer_ids if one in known}


def payers_asking_notes(day: date) -> PayerRulesById:
    """The rules of a day of those payers that ask for progress notes."""
    rules = {key: one.on(day) for key, one in _all_rules().items()}
    return {key: one for key, one in rules.items() if one.progress_note_rule is not None}


def _all_rules() -> PayerRulesById:
    return memoize(
        "payer rules", lambda: MappingProxyType({one.pk: _rules(one) for one in payer_list()})
    )


def _rules(payer: Payer) -> PayerRules:
    services = list(payer.services.all())
    return PayerRules(
        payer_id=payer.pk,
        name=payer.name,
        revision=payer.revision,
        unit_rule=UnitRule(payer.unit_rule),
        visit_definition=VisitDefinition(payer.visit_definition),
        paid_credentials=frozenset(Credential(one) for one in payer.paid_credentials),
        codes=MappingProxyType(
            {
                (SessionPart(one.part), Credential(one.credential)): one.service_code.code
                for one in services
            }
        ),
        untimed=_untimed(
            (one.service_code.code for one in services if not one.service_code.timed),
            payer.group_code,
        ),
        group_code=payer.group_code,
        **_money(payer),
        progress_note_rule=_progress_note_rule(payer),
        earlier=tuple(_past_rules(payer, one) for one in payer.past_rules.all()),
    )


def _past_rules(payer: Payer, past: PastPayerRules) -> PayerRules:
    return PayerRules(
        payer_id=payer.pk,
        name=payer.name,
        revision=payer.revision,
        unit_rule=UnitRule(past.unit_rule),
        visit_definition=VisitDefinition(past.visit_definition),
        paid_credentials=frozenset(Credential(one) for one in past.paid_credentials),
        codes=MappingProxyType(
            {
                (SessionPart(one["part"]), Credential(one["credential"])): one["code"]
                for one in past.services
            }
        ),
        untimed=_untimed(
            (one["code"] for one in past.services if not one["timed"]), past.group_code
        ),
        group_code=past.group_code,
        **_money(past),
        progress_note_rule=_progress_note_rule(past),
        until=past.until,
    )


def _money(row: Payer | PastPayerRules) -> dict[str, Any]:
    return {
        "currency": row.currency,
        "rates": MappingProxyType({one["code"]: Decimal(one["amount"]) for one in row.rates}),
        "yearly_thresholds": tuple(
            YearlyThreshold(
                ThresholdMeasure(one["measure"]),
                Decimal(one["value"]),
                one["source"],
                frozenset(one["codes"]),
            )
            for one in row.yearly_thresholds
        ),
    }


def _progress_note_rule(row: Payer | PastPayerRules) -> ProgressNoteRule | None:
    return None if row.progress_note_rule is None else ProgressNoteRule(**row.progress_note_rule)


def _untimed(codes: Iterable[str], group_code: str) -> frozenset[str]:
    """Codes that count once a day, that of groups among them."""
    return frozenset({*codes, group_code} - {""})


def known_codes() -> KnownCodes:
    """What an authorization may name: active service codes, and the practice's practitioners."""
    codes = ServiceCode.objects.filter(is_active=True).values_list("code", flat=True)
    in_use = memoize("codes in use", lambda: frozenset(codes))
    return KnownCodes(in_use, frozenset(practitioner_names()))


def payer_names(rows: Iterable[Any]) -> dict[UUID | None, str]:
    """The names of the payers that rows of a read table name, by id."""
    wanted = {row.payer_id for row in rows} - {None}
    return {one: rules.name for one, rules in payer_rules(wanted).items()}

"""A payer's rules between its rows and their periods."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from billing.payers.domain.periods import RulePeriod, changed_from
from billing.payers.models import Payer, ServiceCode
from clients.health.domain.wording import words_text
from practice.core.reasons import invalid

PLAIN_RULES = (
    "unit_rule",
    "visit_definition",
    "paid_credentials",
    "group_code",
    "currency",
    "rates",
    "yearly_thresholds",
    "progress_note_rule",
)
RULE_FIELDS = (*PLAIN_RULES, "services")
"""The fields of a payer that have dates."""


def checked_rules(values: Mapping[str, Any]) -> dict[str, Any]:
    """The rules among some values, in the form in which periods hold them.

    Rejected 400 for unknown codes, what is named twice, and a group code that is timed.
    """
    rules = {name: values[name] for name in RULE_FIELDS if name in values}
    if not rules.keys() & {"services", "rates", "yearly_thresholds", "group_code"}:
        return rules
    timed = dict(ServiceCode.objects.filter(is_active=True).values_list("code", "timed"))
    if rules.get("group_code") and timed.get(rules["group_code"], True):
        raise invalid("group_code", "Give one of the service codes in use that is not timed.")
    if "services" in rules:
        rules["services"] = _checked_services(rules["services"], timed)
    if "rates" in rules:
        rules["rates"] = _checked_rates(rules["rates"], timed)
    if "yearly_thresholds" in rules:
        rules["yearly_thresholds"] = _checked_thresholds(rules["yearly_thresholds"], timed)
    return rules


def dated_rules(payer: Payer, changes: Mapping[str, Any], first: date) -> dict[str, Any]:
    """The values of a payer's row and lists once some rules hold from a day on."""
    *past, last = changed_from(_periods(payer), changes, first)
    return {
        **{name: last.rules[name] for name in PLAIN_RULES},
        "services": mapped_services(last.rules["services"]),
        "past_rules": [{**one.rules, "until": one.until} for one in past],
    }


def mapped_services(services: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """A map of parts as rows of the payer's present map."""
    ids = dict(ServiceCode.objects.values_list("code", "pk"))
    return [
        {
            "part": one["part"],
            "credential": one["credential"],
            "service_code_id": ids[one["code"]],
        }
        for one in services
    ]


def _periods(payer: Payer) -> list[RulePeriod]:
    past = [
        RulePeriod({name: getattr(one, name) for name in RULE_FIELDS}, one.until)
        for one in payer.past_rules.all()
    ]
    services = [
        {
            "part": one.part,
            "credential": one.credential,
            "code": one.service_code.code,
            "timed": one.service_code.timed,
        }
        for one in payer.services.select_related("service_code")
    ]
    now = {name: getattr(payer, name) for name in PLAIN_RULES}
    return [*past, RulePeriod({**now, "services": _ordered(services)})]


def _checked_rates(
    given: Sequence[Mapping[str, Any]], known: Collection[str]
) -> list[dict[str, Any]]:
    codes = [one["code"] for one in given]
    _check_known("rates", codes, known)
    if len(set(codes)) < len(codes):
        raise invalid("rates", "Name each service code once; one rate holds at a time.")
    rates = [
        {"code": one["code"], "amount": str(one["amount"]), "source": one["source"]}
        for one in given
    ]
    return sorted(rates, key=lambda one: one["code"])


def _checked_thresholds(
    given: Sequence[Mapping[str, Any]], known: Collection[str]
) -> list[dict[str, Any]]:
    thresholds = [
        {
            "measure": str(one["measure"]),
            "value": str(one["value"]),
            "codes": sorted(set(one.get("codes", ()))),
            "source": one["source"],
        }
        for one in given
    ]
    _check_known("yearly_thresholds", [code for one in thresholds for code in one["codes"]], known)
    about = [(one["measure"], *one["codes"]) for one in thresholds]
    if len(set(about)) < len(about):
        raise invalid("yearly_thresholds", "Give one threshold of a measure for the same codes.")
    return sorted(thresholds, key=lambda one: (one["measure"], one["codes"]))


def _check_known(name: str, codes: Iterable[str], known: Collection[str]) -> None:
    unknown = sorted(set(codes) - set(known))
    if unknown:
        raise invalid(name, f"No such service code in use: {', '.join(unknown)}.")


def _checked_services(
    given: Sequence[Mapping[str, Any]], timed: Mapping[str, bool]
) -> list[dict[str, Any]]:
    seen, services = set(), []
    for item in given:
        if item["code"] not in timed:
            raise invalid("services", f"No such service code in use: {item['code']}.")
        if (item["part"], item["credential"]) in seen:
            raise invalid(
                "services",
                f"Name {words_text([item['part'], item['credential']])} once; one code for both.",
            )
        seen.add((item["part"], item["credential"]))
        services.append(
            {
                "part": str(item["part"]),
                "credential": str(item["credential"]),
                "code": item["code"],
                "timed": timed[item["code"]],
            }
        )
    return _ordered(services)


def _ordered(services: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return sorted(services, key=lambda one: (one["part"], one["credential"]))

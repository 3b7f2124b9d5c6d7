"""Which parts of the hour the payer pays for, as the suggested split asks it."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import uuid4

import pytest

from billing.authorizations.models import Authorization
from billing.authorizations.selectors.paid_parts import paid_parts
from billing.authorizations.selectors.payers_of_day import payers_of_day
from billing.payers.models import PastPayerRules
from billing.payers.selectors import payer_rules
from practice.clock import clock
from practice.core.terms import Credential, SessionPart
from sessions.session_split.selectors.facts import PAYABLE_PARTS
from tests.billing.practice_rows import client_with, payer

pytestmark = pytest.mark.django_db
THERAPIST, TRAINER = Credential.PHYSICAL_THERAPIST, Credential.PERSONAL_TRAINER


def test_the_parts_mapped_to_a_code_are_paid_and_talk_is_not() -> None:
    client_id, authorization_id = client_with(payer().pk)
    day = Authorization.objects.get(pk=authorization_id).starts_on
    assert paid_parts(client_id, day, THERAPIST) == (
        SessionPart.STRETCHING,
        SessionPart.CARDIO,
        SessionPart.STRENGTH,
    )
    assert paid_parts(client_id, day, TRAINER) == ()


def test_without_an_authorization_that_day_the_client_pays() -> None:
    client_id, authorization_id = client_with(payer().pk)
    last = Authorization.objects.get(pk=authorization_id).last_day
    assert paid_parts(client_id, last + timedelta(days=1), THERAPIST) is None
    assert paid_parts(uuid4(), date(2026, 3, 2), THERAPIST) is None


def test_only_the_codes_that_the_authorization_names_are_paid() -> None:
    lakeshore = payer()
    client_id, authorization_id = client_with(lakeshore.pk)
    row = Authorization.objects.get(pk=authorization_id)
    code = payer_rules({lakeshore.pk})[lakeshore.pk].on(row.starts_on).codes
    row.lines = [{"code": code[SessionPart.CARDIO, THERAPIST], "units": 8, "used": 0}]
    row.save()
    named = set(paid_parts(client_id, row.starts_on, THERAPIST) or ())
    same = {
        part
        for (part, who), one in code.items()
        if who is THERAPIST and one == row.lines[0]["code"]
    }
    assert named == same
    row.lines = [{"code": "OTHER", "units": 8, "used": 0}]
    row.save()
    assert paid_parts(client_id, row.starts_on, THERAPIST) == ()


def test_a_voided_authorization_names_no_payer_of_a_day() -> None:
    """Ruling 60: it never was."""
    lakeshore = payer()
    client_id, authorization_id = client_with(lakeshore.pk)
    row = Authorization.objects.get(pk=authorization_id)
    assert payers_of_day(client_id, row.starts_on) == (lakeshore.pk,)
    row.voided_at = clock.now()
    row.save()
    assert payers_of_day(client_id, row.starts_on) == ()
    assert paid_parts(client_id, row.starts_on, THERAPIST) is None


def test_the_split_asks_billing() -> None:
    assert paid_parts in PAYABLE_PARTS.answers


def test_the_parts_of_a_day_are_those_of_the_rules_of_that_day() -> None:
    """Ruling 59."""
    lakeshore = payer()
    client_id, authorization_id = client_with(lakeshore.pk)
    first = Authorization.objects.get(pk=authorization_id).starts_on
    PastPayerRules.objects.create(
        payer=lakeshore,
        until=first + timedelta(days=1),
        unit_rule=lakeshore.unit_rule,
        visit_definition=lakeshore.visit_definition,
        paid_credentials=[THERAPIST.value],
        services=[
            {"part": "cardio", "credential": THERAPIST.value, "code": "CAR15", "timed": True}
        ],
    )
    assert paid_parts(client_id, first, THERAPIST) == (SessionPart.CARDIO,)
    assert len(paid_parts(client_id, first + timedelta(days=1), THERAPIST) or ()) == 3

"""Authorizations as the read table has them."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import UUID

from django.db.models import Q, QuerySet

from billing.authorizations.domain.advisories import BillingSettings
from billing.authorizations.models import Authorization
from clients.identity.selectors import of_visible_clients
from practice.core.decisions import Actor
from practice.core.reasons import existing
from practice.policy.selectors import settings_group


def billing_settings() -> BillingSettings:
    """The practice's settings of billing."""
    return settings_group("billing", BillingSettings)[0]


def authorization_list(actor: Actor) -> QuerySet[Authorization]:
    """The authorizations of the clients that this member of staff may see."""
    return of_visible_clients(actor, Authorization.objects.all())


def authorizations_of(client_id: UUID) -> QuerySet[Authorization]:
    """The authorizations of one client."""
    return Authorization.objects.filter(client_id=client_id)


def authorization_get(actor: Actor, authorization_id: UUID) -> Authorization:
    """One of them; Rejected 404 for any other."""
    return existing(authorization_list(actor).filter(pk=authorization_id).first(), "authorization")


def in_state(rows: QuerySet[Authorization], state: str, day: date) -> QuerySet[Authorization]:
    """Authorizations that are ``upcoming``, ``open`` or ``past`` on a day, or were ``ended`` or
    ``voided``; a voided one is in no other state."""
    if state == "voided":
        return rows.filter(voided_at__isnull=False)
    rows = rows.filter(voided_at__isnull=True)
    match state:
        case "upcoming":
            return rows.filter(starts_on__gt=day)
        case "open":
            return rows.filter(starts_on__lte=day, last_day__gte=day)
        case "past":
            return rows.filter(last_day__lt=day)
        case _:
            return rows.filter(ended_on__isnull=False)


def running_out(rows: QuerySet[Authorization], day: date) -> QuerySet[Authorization]:
    """Open authorizations with few visits, units, minutes or days left, by the settings;
    ``running_out_reasons`` says which."""
    given = billing_settings()
    few = (
        Q(visits_left__lte=given.running_out_visits)
        | Q(units_left__lte=given.running_out_units)
        | Q(minutes_left__lte=given.running_out_minutes)
    )
    soon = Q(last_day__lte=day + timedelta(days=given.expiring_days))
    return in_state(rows, "open", day).filter(few | soon)

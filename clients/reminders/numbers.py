"""Whose a number is that a text came from."""

from __future__ import annotations

from uuid import UUID

from clients.identity.domain.names import phone_code
from clients.identity.models import Client, ClientSearchCode
from clients.reminders.domain.rules import Channel
from clients.reminders.models import Reminder
from clients.reminders.sealing import address_code


def who_gets_texts_at(number: str) -> list[UUID]:
    """The clients to whom a text went there, and those who gave the number for texts."""
    sent = Reminder.objects.filter(channel=Channel.TEXT, address_code=address_code(number))
    written_to = {one for one in sent.values_list("client_id", flat=True) if one is not None}
    holders = ClientSearchCode.objects.filter(code=phone_code(number)).values("client_id")
    gave_it = {
        row.pk
        for row in Client.objects.filter(pk__in=holders)
        if any(one["number"] == number and one.get("texts") for one in row.phones)
    }
    return sorted(written_to | gave_it)

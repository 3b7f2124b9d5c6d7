"""A record of which nothing can be read any more names nobody, and is no failure."""

from __future__ import annotations

import pytest

from clients.identity.person import ClientDetails, client_details
from practice.work.unit_of_work import UnitOfWork, new_client_stream
from tests.builders import build_practice
from tests.sessions.people import doing, registered

pytestmark = pytest.mark.django_db


def test_of_a_record_without_details_neither_age_nor_mail_is_known() -> None:
    built = build_practice()
    client_id = new_client_stream()

    def details(uow: UnitOfWork) -> ClientDetails:
        uow.create(client_id)
        return client_details(uow, client_id)

    found = doing(built, details)
    assert (found.birth_date, found.mail, found.facility_ids) == (None, "", ())
    known = registered(built)
    assert doing(built, lambda uow: client_details(uow, known)).facility_ids == (built.east.pk,)

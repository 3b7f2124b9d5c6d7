"""What a command reads of the practice is read under the lock of its client, so that no earlier
request's answer is taken for it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID, uuid4

import pytest

from clients.orders import services as orders
from clients.preference import services as preference
from clients.preference.domain.commands import AgreeException, StatePreference
from practice.core.terms import Role
from practice.work.unit_of_work import UnitOfWork
from sessions.stretches.services import prescriptions
from tests.builders import build_practice
from tests.sessions.people import doing, open_client

pytestmark = pytest.mark.django_db

Run = Callable[[UnitOfWork, UUID], Any]


class ReadNow(Exception):
    """The command has come to its reading."""


def stated(uow: UnitOfWork, client_id: UUID) -> Any:
    command = StatePreference()
    return preference.preference_state(uow, client_id=client_id, command=command)


def agreed(uow: UnitOfWork, client_id: UUID) -> Any:
    command = AgreeException(practitioner_id=uuid4(), agreed_how="asked")
    return preference.exception_agree(uow, client_id=client_id, command=command)


def named(uow: UnitOfWork, client_id: UUID) -> Any:
    return orders.order_precedence_name(uow, client_id=client_id, order_id=uuid4(), command={})


def prescribed(uow: UnitOfWork, client_id: UUID) -> Any:
    command = {"stretch": "abduction_pattern", "side": "left"}
    return prescriptions.stretch_prescribe(uow, client_id=client_id, command=command)


@pytest.mark.parametrize(
    ("module", "reads", "run"),
    [
        (preference, "check_practitioners_exist", stated),
        (preference, "check_practitioners_exist", agreed),
        (orders, "settings_group", named),
        (prescriptions, "catalogue_facts", prescribed),
    ],
)
def test_the_client_is_locked_when_the_practice_is_read(
    monkeypatch: pytest.MonkeyPatch, module: Any, reads: str, run: Run
) -> None:
    built = build_practice()
    client_id = open_client(built)
    locked: list[bool] = []

    def command(uow: UnitOfWork) -> Any:
        def probe(*_: Any, **__: Any) -> Any:
            try:
                locked.append(uow.version(client_id) > 0)
            except KeyError:
                locked.append(False)
            raise ReadNow

        monkeypatch.setattr(module, reads, probe)
        return run(uow, client_id)

    with pytest.raises(ReadNow):
        doing(built, command, Role.PRACTITIONER)
    assert locked == [True]

"""Read tables at the size of a chain: rows that the program wrote, copied in bulk with other ids,
days, clients, places and people. Nobody reads the copies but lists."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from django.db import connection, models

SIZE: Final = 100_000
BUSY_CLIENTS: Final = 1_000
"""Clients among whom the copies of what belongs to a client are dealt out."""
DAYS: Final = 1_500
"""Days over which the copies are spread, two thirds of them past."""
DEALT: Final = {
    "client_id": BUSY_CLIENTS,
    "subject": BUSY_CLIENTS,
    "facility_id": 100,
    "practitioner_id": 100,
    "rater_id": 20,
    "staff_id": 200,
    "session_id": SIZE,
    "note_id": SIZE,
    "about": SIZE,
    "prescription_id": SIZE,
    "authorization_id": 10_000,
    "series_id": 10_000,
}
"""How many different values a column gets. One of them is the copied row's own."""


def multiply(model: type[models.Model], **own: str) -> None:
    """Make the newest row of a table a hundred thousand; ``own`` gives columns their SQL, in
    which ``n`` is the number of the copy and ``day`` a number of days."""
    copy(model, SIZE, DEALT, own)


def copy(
    model: type[models.Model], copies: int, dealt: Mapping[str, int], own: Mapping[str, str]
) -> None:
    """Make so many copies of the newest row; ``dealt`` as ``DEALT``."""
    table = model._meta.db_table
    columns = [one for one in model._meta.local_concrete_fields if not _counted(one)]
    named = ", ".join(f'"{one.column}"' for one in columns)
    values = ", ".join(own.get(one.column or "") or _copied(one, dealt) for one in columns)
    newest = model._default_manager.order_by("-pk").values_list("pk", flat=True).first()
    assert newest is not None, f"{model.__name__} has no row to copy"
    with connection.cursor() as cursor:
        cursor.execute("SELECT setseed(0.5)")
        cursor.execute(
            f"""INSERT INTO {table} ({named}) SELECT {values}
            FROM {table} AS copied, (
              SELECT n, floor(random() * {DAYS})::int - {DAYS * 2 // 3} AS day
              FROM generate_series(1, {copies}) AS n OFFSET 0
            ) AS copy WHERE copied.{model._meta.pk.column} = %s""",  # noqa: S608
            [newest],
        )
        # 300 times the target is the sample: the whole table, so that plans are no matter of luck.
        cursor.execute(f"SET LOCAL default_statistics_target = {max(100, copies // 300 + 1)}")
        cursor.execute(f"ANALYZE {table}")
        cursor.execute("SET LOCAL default_statistics_target = 100")


def _counted(column: Any) -> bool:
    return isinstance(column, models.BigAutoField)


def _copied(field: Any, dealt: Mapping[str, int]) -> str:
    column = f'copied."{field.column}"'
    if field.primary_key:
        return "gen_random_uuid()"
    if field.column in dealt:
        some = dealt[field.column]
        other = f"md5('{field.column}' || floor(random() * {some})::int)::uuid"
        return f"CASE WHEN random() * {some} < 1 THEN {column} ELSE {other} END"
    if isinstance(field, models.DateTimeField):
        return f"{column} + copy.day * interval '1 day'"
    if isinstance(field, models.DateField):
        return f"{column} + copy.day"
    return column

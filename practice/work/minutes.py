"""Minutes as a query gives them: thousands of times read as whole numbers.

A time read as such is a datetime made one by one, longer than its row took the database.
"""

from __future__ import annotations

from typing import Any

from django.db.models import Func, IntegerField


class MinuteOf(Func):
    """The minute that the instant of a column lies in: ``practice.core.localtime.minute_of``."""

    arity = 1
    output_field = IntegerField()
    rest = ""

    def get_db_converters(self, connection: Any) -> list[Any]:
        """None: both databases give whole numbers."""
        return []

    def as_postgresql(self, compiler: Any, connection: Any, **more: Any) -> Any:
        """Of a timestamp with time zone."""
        floor = "FLOOR(EXTRACT(EPOCH FROM %(expressions)s) / 60)::bigint"
        return super().as_sql(compiler, connection, template=floor, **more)

    def as_sqlite(self, compiler: Any, connection: Any, **more: Any) -> Any:
        """Of a text in UTC; seconds without their fraction, which SQLite would round."""
        seconds = "CAST(strftime('%%%%s', substr(%(expressions)s, 1, 19)) AS INTEGER)"
        template = f"(({seconds}{self.rest}) / 60)"
        return super().as_sql(compiler, connection, template=template, **more)


class MinuteAfter(MinuteOf):
    """The first minute that begins at the instant of a column or after it: ``minute_after``."""

    rest = " + 59 + (length(%(expressions)s) > 19)"

    def as_postgresql(self, compiler: Any, connection: Any, **more: Any) -> Any:
        """Of a timestamp with time zone."""
        ceiling = "CEIL(EXTRACT(EPOCH FROM %(expressions)s) / 60)::bigint"
        return super(MinuteOf, self).as_sql(compiler, connection, template=ceiling, **more)

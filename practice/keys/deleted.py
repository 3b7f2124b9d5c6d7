"""What was deleted leaves no bytes in the files of SQLite.

``PRAGMA secure_delete`` (practice/env.py) overwrites what is deleted in the database itself; the
log of writes beside it still holds pages as they were, a destroyed key among them, until it is
begun anew. PostgreSQL's own vacuum sees to both.
"""

from __future__ import annotations

import logging

from django.db import connections

log = logging.getLogger(__name__)


def empty_write_ahead_logs() -> None:
    """Move every committed page into its database and cut the log of writes to nothing.

    Outside any transaction. Waits for readers as long as a writer would; one that reads for
    longer leaves it to the next night.
    """
    for connection in connections.all():
        if connection.vendor == "sqlite":
            with connection.cursor() as cursor:
                cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
                if cursor.fetchone()[0]:
                    log.warning("the write-ahead log of %s is in use", connection.alias)

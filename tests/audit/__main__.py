"""``python -m tests.audit`` (with DJANGO_SETTINGS_MODULE=practice.settings): pin how read tables
are made now, where that is said by a new column or a new version of the projection."""

from __future__ import annotations

import django


def main() -> int:
    """1 where a projection makes other rows of events on record and does not say so."""
    django.setup()
    from tests.audit.pinned_tables import pin

    unsaid = pin()
    for table in unsaid:
        print(f"{table}: raise `version=` of its projection first")
    return int(bool(unsaid))


if __name__ == "__main__":
    raise SystemExit(main())

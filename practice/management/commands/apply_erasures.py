"""``apply_erasures``: erase again what a restored backup has brought back."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from practice.audit.erasure_list import read_list
from practice.audit.services import apply_erasure


class Command(BaseCommand):
    """Closes every record of the list that stands open, and destroys its key."""

    help = "After a restore: carry out every erasure of the list outside the database again."

    def handle(self, *args: Any, **options: Any) -> None:
        """Print how many were applied; fail where the list is damaged."""
        stands = read_list()
        applied = [one for one in stands.entries.values() if apply_erasure(one)]
        for entry in applied:
            self.stdout.write(f"{entry.client_id}: erased again")
        self.stdout.write(f"{len(stands.entries)} erasures listed, {len(applied)} applied now.")
        if stands.faults:
            raise CommandError(" ".join(stands.faults))

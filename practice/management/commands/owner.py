"""``manage.py owner <username> <name>``: the first owner of a new practice."""

from __future__ import annotations

import getpass
import os
from typing import Any
from uuid import UUID

from django.core.management.base import BaseCommand, CommandError, CommandParser

from practice.core.decisions import Actor
from practice.core.reasons import Rejected
from practice.core.terms import Role
from practice.people_and_places.models.staff import Staff
from practice.people_and_places.services.staff import staff_add
from practice.work.commands import run_command

SETTING_UP = UUID(int=2)
"""Stands in the history as who opened the first account."""


class Command(BaseCommand):
    """Opens the first owner's account; everyone after that is added over the API."""

    help = "Open the first owner's account. The password is asked, or read from OWNER_PASSWORD."

    def add_arguments(self, parser: CommandParser) -> None:
        """Both are required: the username to sign in with, and the name that others read."""
        parser.add_argument("username", help="e.g. owner")
        parser.add_argument("name", help='e.g. "Ana Rivera"')

    def handle(self, *args: Any, username: str, name: str, **options: Any) -> None:
        """Refused where the practice has an owner."""
        if Staff.objects.filter(role=Role.OWNER, is_active=True).exists():
            raise CommandError("The practice has an owner, who adds accounts over the API.")
        password = os.environ.get("OWNER_PASSWORD") or getpass.getpass("Password: ")
        values = {"username": username, "name": name, "role": Role.OWNER, "password": password}
        actor = Actor(id=SETTING_UP, role=Role.OWNER)
        try:
            run_command(actor, "manage-owner", None, lambda uow: staff_add(uow, command=values))
        except Rejected as refused:
            raise CommandError(" ".join([refused.detail, *refused.fields.values()])) from None
        self.stdout.write(f"{username.lower()} is the owner and can sign in.")

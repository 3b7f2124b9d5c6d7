"""``run_jobs``: the former name of ``due``."""

from practice.management.commands.due import Command

__all__ = ["Command"]

"""Reminders while everything falls over, with two beats and four workers as real processes.

``python -m tests.harness.reminder_faults`` starts a PostgreSQL and a Redis of its own, provokes
each fault and prints the table; ``--quick`` is what the test suite runs.
"""

"""How passwords are hashed."""

from __future__ import annotations

from django.contrib.auth.hashers import Argon2PasswordHasher


class PracticeArgon2Hasher(Argon2PasswordHasher):
    """Argon2id with 19 MiB, two passes, one lane: the OWASP Password Storage Cheat Sheet's minimum
    (also RFC 9106 section 4 for little memory). Django's own takes 100 MiB a sign-in, which lets a
    few people who guess fill the memory of the machine.
    """

    time_cost = 2
    memory_cost = 19 * 1024  # KiB
    parallelism = 1

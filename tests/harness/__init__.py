"""Harnesses: bad input by the thousand, killed processes, a worker without its broker.

Short by default; ``python3 manage.py test --full`` runs them at full length.
"""

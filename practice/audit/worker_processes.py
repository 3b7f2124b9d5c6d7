"""How a second process begins: nothing here needs Django before ``start`` has set it up.

What the process is given to do is imported afterwards, with the first piece of work.
"""


def set_up_django() -> None:
    """Set up Django, once in each process."""
    import django

    django.setup()

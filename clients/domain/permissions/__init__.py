"""What may be done with a client: one pure function, ``judge``, and its inputs and outputs."""

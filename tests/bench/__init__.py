"""The benchmark: what the record costs beside what people would use instead.

``python3 manage.py bench`` brings its own PostgreSQL and runs ``python -m tests.bench``
there. Every peer is built and run in the same run, with the same process model and the
same durability; runs of the contenders alternate, and medians are quoted.
"""

"""A campaign of seeded pairs of designs with known truth, to measure the comparison.

Run it with ``python -m tests.campaign --pairs 5000 --seed 1``. All data are invented.
"""

"""Cookers that were strangers, and a runner that judges the shipped controller on them.

Their equations are in no other cooker of this repository and were written without a look at those or at the control
core. Their figures and traces were looked at since, again and again, and control was mended after them: by the ledger
(tests/bench_suite/looks.py) they are training now. A cooker that shall judge control as a stranger must be a new one.
"""

"""Strangers: cookers that nothing is ever tuned on, and a runner that judges the shipped controller on them.

Their equations are in no other cooker of this repository and were written without a look at those or at the control
core. Look at figures and traces, say what is wrong with control in general, and mend that; never fit a constant here.
"""

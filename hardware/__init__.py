"""Figures, pin tables and drawings of the hardware; each can be made anew with `python -m hardware.<name>`."""

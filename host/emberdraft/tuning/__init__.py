"""Tuning: a model of your cooker from a recorded cook, gains by named rules, the cook replayed before they are sent."""

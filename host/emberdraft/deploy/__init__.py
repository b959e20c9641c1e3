"""Putting the firmware onto a real board, through mpremote: build, look, stage, switch, settings, listen."""

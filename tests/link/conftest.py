"""Settings of the tests of the link."""

from __future__ import annotations

from hypothesis import settings

# No deadline for a single example: a computer that is busy with other things is no fault of the code.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")

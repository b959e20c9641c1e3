"""An evening from the table back: whole evenings drawn from what is not known, and what they say of a serving time."""

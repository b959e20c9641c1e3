"""Fair comparisons of pieces: tasting, assignment, and what a result can and cannot show."""

"""What a cooker will do: a small model of it, found from its own readings, and what follows from the model."""

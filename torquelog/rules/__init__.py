"""What may be done: pure decisions over facts."""

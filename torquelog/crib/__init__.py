"""The work of the tool crib."""

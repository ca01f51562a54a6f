"""The work of quality."""

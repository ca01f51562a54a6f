"""Writing, verification, rebuilding, export and taking in, backup and restore."""

"""What comes from hostile hands: files, lines, names, paths."""

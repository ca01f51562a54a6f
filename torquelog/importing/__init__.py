"""Old records brought in from files: read row by row, judged first, then written in small transactions."""

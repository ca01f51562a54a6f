"""One module a subject: its entry kinds, its tables, how an entry becomes rows, and its queries."""

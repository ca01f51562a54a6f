"""The work of the technician."""

"""Sheets and labels: what is printed, stapled and hung up; each one HTML file that needs nothing else."""

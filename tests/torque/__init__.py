"""What one reading means."""

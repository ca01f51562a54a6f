"""What one reading means: exact torque, limits, adapters and settings. Values in, values out."""

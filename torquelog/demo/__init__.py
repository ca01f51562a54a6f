"""A week in an invented hangar, told through the same acts that people use."""

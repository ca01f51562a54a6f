"""Years of a believable station, made through the same acts that people use: seeded, of any size."""

"""What to change and by how much, with the simulated before and after, and what to measure next."""

"""The terminal face; it computes nothing."""

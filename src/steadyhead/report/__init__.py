"""The set-up sheet and its figures."""

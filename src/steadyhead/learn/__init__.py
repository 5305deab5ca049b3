"""What logs tell of the machine that flew them: fits with intervals, and a machine file that holds what was learned."""

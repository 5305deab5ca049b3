"""What every room says: errors, values with spread and origin, limits, verdicts, cautions."""

"""Traces: named, unit-bearing channels over time, and the readers that make them from logs."""

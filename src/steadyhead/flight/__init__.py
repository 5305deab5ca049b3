"""Flights in time: one compiled engine, scenarios, the trace that the judge reads."""

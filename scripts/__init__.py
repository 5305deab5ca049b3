"""Programs for developers; some are imported by tests."""

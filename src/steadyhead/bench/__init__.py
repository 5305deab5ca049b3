"""The guided bench procedure, and the record that keeps machines, readings, runs, logs, verdicts and sheets."""

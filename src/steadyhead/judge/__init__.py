"""Does it hold it: segments, governing figures, verdicts, advice."""

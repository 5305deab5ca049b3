"""One file a step, each named after the schema that it leads to."""

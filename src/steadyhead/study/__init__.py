"""Many machines at once: sweeps and draws over any command, on every core or a cluster, resumable."""

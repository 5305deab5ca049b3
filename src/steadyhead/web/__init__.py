"""The local web face: pages in the order of the job; it computes nothing."""

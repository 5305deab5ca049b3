"""Compiled scalar kernels in SI; imports nothing of ours."""

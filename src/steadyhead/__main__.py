"""`python -m steadyhead` is the command line."""

from steadyhead.cli.main import run

run()

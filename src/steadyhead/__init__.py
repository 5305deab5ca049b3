"""Set up the drive and rotor-speed governor of an electric model helicopter, and keep the proof.

The contents page is `steadyhead.job`: one function for each command.
"""

__version__ = "0.1.0"

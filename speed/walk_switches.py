"""Time of `logic`: states and seconds for right and wrong controllers. Run: python speed/walk_switches.py."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from steadyhead.channel.logic import checked
from tests.unit.channel.controllers import BY_BAND, RIGHT, WRONG

checked(BY_BAND, "warm up", 1)
for name, logic in [*RIGHT.items(), *((name, wrong) for name, (wrong, _) in WRONG.items())]:
    answer = checked(logic, name, 1)
    print(f"{name:45s} {answer.states:8d} states {answer.seconds:7.3f} s  {answer.verdict}")

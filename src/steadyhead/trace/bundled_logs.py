"""The invented logs that come with the package, for the demo."""

from pathlib import Path

FOLDER = Path(__file__).parent / "bundled"
DEMO_LOGS = (FOLDER / "fox600_bench.csv", FOLDER / "fox600_flight.txt")

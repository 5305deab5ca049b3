"""What the listener claims of invented recordings: none of other sources alone, right ones of the rotor beside them.

Every case draws a machine of its own, a course of speed, what sounds beside it and what the recorder did. Alone: the
other source over some noise, no rotor of the machine; every claimed frame is false. Beside: the rotor with another
source at +10 to -3 dB; what is claimed is held against the truth.

Run: python scripts/listen_claims.py [cases of each kind] [first seed]
"""

import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from steadyhead.trace.sound_tracker import CLAIMED_FROM
from tests.heard_rotor import error_percent, tracked
from tests.naive.other_sound import OTHERS, SECONDS, SNR_DB, alone, beside
from tests.naive.rotor_sound import Made


def main() -> None:
    """Count and print."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 1000
    print(f"alone, {count} recordings of {SECONDS:g} s each: claimed frames, recordings with 5 % or more")
    for number, kind in enumerate(OTHERS):
        shares = []
        for k in range(count):
            frames = tracked(alone(kind, first + 1000 * number + k))
            shares.append(float((frames.confidence >= CLAIMED_FROM).mean()))
        print(f"  {kind:32s} {np.mean(shares):6.1%}  {np.sum(np.array(shares) >= 0.05):3d} of {count}", flush=True)
    print("beside: frames claimed while the rotor turns, of those within 0.5 %, more than 5 % off")
    parts: dict[str, list[np.ndarray]] = {}
    for number, kind in enumerate(("noise", *OTHERS)):
        for k in range(count):
            snr_db, blades_on = SNR_DB[k % len(SNR_DB)], k % 2 == 0
            part = counted(beside(kind, snr_db, blades_on, first + 1000 * number + k))
            parts.setdefault(kind, []).append(part)
            parts.setdefault(f"{snr_db:+.0f} dB, blades {'on' if blades_on else 'off'}", []).append(part)
            parts.setdefault("all", []).append(part)
    for name, each in parts.items():
        claimed, turns, right, wrong = np.concatenate(each, axis=1)
        share, all_claimed = (claimed & turns).sum() / turns.sum(), max(1, claimed.sum())
        print(f"  {name:32s} {share:6.1%}  {(claimed & right).sum() / all_claimed:6.2%}", end="")
        print(f"  {(claimed & wrong).sum() / all_claimed:6.2%}", flush=True)


def counted(given: Made) -> np.ndarray:
    """Which frames are claimed, turn, are right within 0.5 %, and more than 5 % off. Shapes: (4, n)."""
    frames = tracked(given)
    off = np.abs(error_percent(frames, given.time_s, given.head_rpm))
    turns = np.interp(frames.time_s, given.time_s, given.head_rpm) > 1.0
    return np.stack((frames.confidence >= CLAIMED_FROM, turns, off < 0.5, off > 5.0))


if __name__ == "__main__":
    main()

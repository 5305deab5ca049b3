"""Which unknown matters most for the glide and for the flare."""

from steadyhead.flight.glide_curves import INFLOW, Curves
from steadyhead.machine.description import Machine
from steadyhead.plan.doubts import LEAST_SHARE, doubts_on
from steadyhead.plan.intervals import Spread
from steadyhead.plan.result import Doubt


def doubts(machine: Machine, glides: Curves, energy: dict[str, Spread], row: int) -> tuple[Doubt, ...]:
    """Return what carries the doubt on the least sink rate and on the flare reserve, the largest first."""
    values = dict(machine.values())
    sink = glides.doubt["least_sink_m_s"].shares((row,))
    named = {key: share for key, share in sink.items() if key != INFLOW}
    found = doubts_on("the least sink rate", named, values)
    own = sink.get(INFLOW, 0.0)
    if own >= LEAST_SHARE:
        model = Doubt(
            key=INFLOW,
            origin="NACA TN-2474",
            figure="the least sink rate",
            share=own,
            sentence=f"nothing at the bench settles this: the inflow in descent carries {100.0 * own:.0f} % of the "
            "doubt on the least sink rate",
        )
        found = tuple(sorted((*found, model), key=lambda doubt: -doubt.share))
    return found + doubts_on("the flare reserve", energy["flare_reserve_s"].shares((row,)), values)

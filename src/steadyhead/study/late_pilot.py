"""A pilot who reacts late: the switch has moved, his hands follow after a while."""

from dataclasses import replace

from steadyhead.flight.scenario import Do, Scenario


def late(scenario: Scenario, delay_s: float) -> Scenario:
    """Return the scenario with the collective held for `delay_s` after each switch that moves in flight, s.

    The step that the switch begins is shortened by as much, so that nothing later moves.
    Valid: a delay shorter than the step; a longer one takes the whole step but a hundredth of a second.
    """
    if delay_s <= 0.0:
        return scenario
    steps = []
    for number, step in enumerate(scenario.steps):
        if step.switch is None or number == 0 or step.do is Do.WAIT:
            steps.append(step)
            continue
        held_s = min(delay_s, step.for_s - 0.01)
        steps.append(replace(step, do=Do.WAIT, for_s=held_s, collective_rad=None, forward_m_s=None))
        steps.append(replace(step, switch=None, for_s=step.for_s - held_s))
    return replace(scenario, steps=tuple(steps))

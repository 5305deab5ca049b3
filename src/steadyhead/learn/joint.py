"""All logs together: what they tell alone, then with what the owner measured, then with what is typical."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from steadyhead.learn.fit import Fitted, fit
from steadyhead.learn.flat_drag import flat_drag
from steadyhead.learn.model import LogModel
from steadyhead.learn.rows import Evidence
from steadyhead.learn.unknowns import (
    BESIDE,
    LEARNED,
    NARROWED,
    NARROWED_SHARE,
    NINETY,
    TAKEN,
    Unknown,
    beside,
    unknown_of_key,
)
from steadyhead.machine.description import Machine
from steadyhead.words.progress import Say, silent

TOLD_HALF = 0.405
"""Half width of the logarithm up to which a number counts as told: a factor of 1.5; own choice."""
USUAL_RAD_S = 200.0
ALIKE = 0.9
"""Correlation from which two numbers are said not to be told apart; own choice."""


@dataclass(frozen=True, kw_only=True)
class Joint:
    """The fit of all logs, and which keys the logs told."""

    models: tuple[LogModel, ...]
    fitted: Fitted
    told: frozenset[str]
    held: frozenset[str]
    """Keys of the list that the logs do not tell and that were taken from the file for the last fit."""


def models_of(machine: Machine, found: Iterable[Evidence]) -> tuple[LogModel, ...]:
    """Return the logs ready to be fitted together; the drag is stated at one speed for all of them."""
    kept = tuple(found)
    speeds = [one.driven.head_rad_s[one.driven.flat] for one in kept if one.driven is not None]
    speeds += [coast.head_rad_s[:1] for one in kept for coast in one.coasts]
    seen = np.concatenate(speeds) if speeds else np.empty(0)
    reference = float(np.percentile(seen, 75)) if seen.size else USUAL_RAD_S
    return tuple(
        LogModel(machine=machine, number=k, evidence=one, drag=flat_drag(machine, reference, one.flat_deg))
        for k, one in enumerate(kept, start=1)
    )


def joint(machine: Machine, models: tuple[LogModel, ...], say: Say = silent) -> Joint:
    """Return the fit of all logs together.

    First the logs alone must tell every number of the list. What they do not tell is taken from the file where its
    owner or a maker stated it, then where it is typical, and the rest is fitted again.
    """
    looked_for, can = _looked_for(models), can_tell(models)
    held: frozenset[str] = frozenset()
    say("fit what the logs tell alone")
    fitted = alone(machine, models)
    stated = frozenset(key for key in looked_for if not _typical(machine, key))
    for may_be_held, words in ((stated, "with what the owner knows"), (looked_for, "with what is typical")):
        more = frozenset(key for key in may_be_held - held if key not in can or not told(fitted, key))
        if more:
            held |= more
            say(f"fit again {words}")
            fitted = fit(models, unknowns_of(machine, models, looked_for, held))
    return Joint(
        models=models,
        fitted=fitted,
        told=frozenset(key for key in (looked_for - held) & can if told(fitted, key))
        | frozenset(key for key in NARROWED if narrowed(fitted, key)),
        held=held | (frozenset(LEARNED) - looked_for),
    )


def alone(machine: Machine, models: tuple[LogModel, ...]) -> Fitted:
    """Return what logs tell with no number of the list taken from the file."""
    return fit(models, unknowns_of(machine, models, _looked_for(models), frozenset()))


def unknowns_of(
    machine: Machine, models: tuple[LogModel, ...], looked_for: frozenset[str], held: frozenset[str]
) -> tuple[Unknown, ...]:
    """Return every unknown of the fit, those of the list first."""
    keys = [key for key in LEARNED if key in looked_for]
    return (
        *(unknown_of_key(machine, key, known=key in held) for key in keys),
        *(unknown_of_key(machine, key, known=True) for key in TAKEN),
        *(beside(name) for name in BESIDE),
        *(unknown for model in models for unknown in model.own_unknowns()),
    )


def told(fitted: Fitted, key: str) -> bool:
    """Whether a number is known closely enough."""
    return fitted.half(key) <= TOLD_HALF and not fitted.at_limit(key)


def narrowed(fitted: Fitted, key: str) -> bool:
    """Whether the logs leave little of what was doubted before them."""
    return fitted.half(key) <= NARROWED_SHARE * NINETY * fitted.unknowns[fitted.at(key)].sd


def can_tell(models: tuple[LogModel, ...]) -> frozenset[str]:
    """Return the keys that these logs may tell at all.

    Without loads in flight winding resistance and Kv move together, and the rounding of the duty decides between them.
    """
    driven = [model.evidence.driven for model in models if model.evidence.driven is not None]
    loaded = any(bool((~one.flat).any()) for one in driven)
    return frozenset(LEARNED) if loaded else frozenset(LEARNED) - {"motor.resistance"}


def _looked_for(models: tuple[LogModel, ...]) -> frozenset[str]:
    """Return the keys that play a part in these logs."""
    blades = {model.evidence.blades_on for model in models}
    gone = set()
    if True not in blades:
        gone |= {"rotor.inertia", "rotor.drag_factor"}
    if False not in blades:
        gone |= {"rotor.hub_inertia"}
    return frozenset(key for key in LEARNED if key not in gone)


def _typical(machine: Machine, key: str) -> bool:
    value = machine.value(key)
    return value is None or value.is_typical

"""Thresholds that a bench run has measured, beside those that the machine file says."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from steadyhead.channel.pulse import step_percent
from steadyhead.channel.setting import ChannelSetting, Doubted

KEYS = ("start", "cut_off")


@dataclass(frozen=True, kw_only=True)
class Measured:
    """A threshold as a bench run has measured it; field names are JSON keys."""

    threshold: str
    """start or cut_off, as in the machine file."""
    percent: float
    spread_percent: float
    """Half width of the 90 % interval."""


def reconciled(setting: ChannelSetting, measured: Iterable[Measured]) -> tuple[ChannelSetting, tuple[str, ...]]:
    """Return the channel with what was measured where the file says nothing, and the contradictions in words.

    Where file and bench contradict each other the threshold is unknown: which of them is right cannot be told.
    Valid: thresholds measured with the end points of the file.
    """
    contradicted = []
    for one in measured:
        said: Doubted | None = getattr(setting, f"{one.threshold}_percent")
        taken: Doubted | None = Doubted(one.percent, one.spread_percent)
        if said is not None:
            apart = abs(said.figure - one.percent) > said.spread + step_percent(setting.pulse, said.figure)
            taken = None if apart else said
            contradicted += [_in_words(one, said)] if apart else []
        setting = replace(setting, **{f"{one.threshold}_percent": taken})  # type: ignore[arg-type]
    return setting, tuple(contradicted)


def measured_in(setting: ChannelSetting, stands: Iterable[str]) -> Iterator[Measured]:
    """Yield the thresholds of a channel that were measured; `stands` names them."""
    for key in stands:
        found: Doubted | None = getattr(setting, f"{key}_percent")
        if found is not None:
            yield Measured(threshold=key, percent=found.figure, spread_percent=found.spread)


def _in_words(one: Measured, said: Doubted) -> str:
    return (
        f"the machine file says channel.{one.threshold} = {said.figure:g} %, the bench run found {one.percent:g} %: "
        "neither is taken, and what rests on it is unknown, until the file says what was found or the bench step is "
        "repeated"
    )

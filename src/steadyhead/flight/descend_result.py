"""What `descend` answers; field names are the JSON keys."""

from dataclasses import dataclass

from steadyhead.flight.bail_out_result import BailOut, HeightVelocity, Landing
from steadyhead.plan.result import Doubt
from steadyhead.words.verdict import Outcome, Verdict

Interval = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class GlidePoint:
    """One steady autorotation, collective and forward speed held. Figures are null where there is none."""

    forward_m_s: float
    sink_m_s: float | None
    sink_m_s_interval: Interval | None
    collective_deg: float | None
    collective_deg_interval: Interval | None
    disc_tilt_deg: float | None
    """Angle of the disc, nose down positive."""
    descent_ratio: float | None
    """Sink rate over the ideal inflow of a hover."""
    state: str | None
    """How the air goes through the disc: normal, vortex ring, turbulent wake or windmill."""
    stable: bool | None
    """Whether head speed and sink rate come back by themselves after a small disturbance, collective held."""
    settling_s: float | None
    """Time in which two thirds of a disturbance die out; null where it grows."""
    why_none: str | None
    """Why there is no steady autorotation here; null where there is one."""


@dataclass(frozen=True, kw_only=True)
class BestPoint:
    """The best forward speed of one head speed: of least sink rate, or of flattest glide."""

    forward_m_s: float
    forward_m_s_interval: Interval | None
    sink_m_s: float
    sink_m_s_interval: Interval | None
    glide_ratio: float
    """Metres flown for one metre of height, in still air."""
    glide_ratio_interval: Interval | None
    collective_deg: float


@dataclass(frozen=True, kw_only=True)
class RotorEnergy:
    """The energy in the turning rotor, in words. The index is for comparing your own machines; it has no limit."""

    rotor_energy_j: float
    rotor_energy_j_interval: Interval
    energy_height_m: float
    """Height from which the machine would fall to have the rotor's energy; no height that can be flown."""
    energy_height_m_interval: Interval
    hover_power_w: float
    """Main rotor, and the tail where it turns with the head in autorotation."""
    hover_time_s: float
    """Seconds for which the whole rotor energy would feed a hover."""
    hover_time_s_interval: Interval
    least_head_speed_rpm: float
    """Head speed at which 0.8 of the greatest thrust still carries the machine."""
    least_head_speed_rpm_interval: Interval
    flare_reserve_s: float
    """Seconds of hover in what the rotor gives on the way down to the least head speed."""
    flare_reserve_s_interval: Interval
    flare_index_m3_n: float
    """Autorotation index by Fradenburgh; limits of full-size machines do not hold for a model."""
    flare_index_ft3_lb: float
    sea_level_index_ft3_lb: float
    """Autorotation index by Prouty: at sea level twice the other."""


@dataclass(frozen=True, kw_only=True)
class HeadSpeedDescent:
    """Everything about one head speed: autorotation over forward speed, and the energy in the rotor."""

    head_speed_rpm: float
    modes: tuple[str, ...]
    """Flight modes with this head speed; empty for a slower one that the rotor may settle at."""
    points: tuple[GlidePoint, ...]
    least_sink: BestPoint | None
    best_glide: BestPoint | None
    energy: RotorEnergy
    reserve_ratio: float | None
    """Flare reserve over the energy of the least sink rate: what the rotor can give to what has to be stopped."""
    reserve_ratio_interval: Interval | None


@dataclass(frozen=True, kw_only=True)
class SettledRow:
    """Where the rotor settles by itself with a collective held, at the forward speed of least sink rate."""

    collective_deg: float
    head_speed_rpm: float
    head_speed_rpm_interval: Interval | None
    forward_m_s: float
    sink_m_s: float
    sink_m_s_interval: Interval | None
    stable: bool
    """Whether head speed and sink rate come back by themselves after a small disturbance."""


@dataclass(frozen=True, kw_only=True)
class VerticalRow:
    """One rate of vertical descent at one head speed, motor on until the power is zero."""

    sink_m_s: float
    descent_ratio: float
    state: str
    collective_deg: float | None
    shaft_power_w: float | None
    """Power that the main shaft needs; below zero the rotor would speed up."""


@dataclass(frozen=True, kw_only=True)
class AirRow:
    """One head speed in one air. The forward speed is that of the least sink rate in the air of the site."""

    air: str
    density_kg_m3: float
    head_speed_rpm: float
    vertical_sink_m_s: float | None
    vertical_sink_m_s_interval: Interval | None
    forward_m_s: float | None
    least_sink_m_s: float | None
    least_sink_m_s_interval: Interval | None
    why_none: str | None


@dataclass(frozen=True, kw_only=True)
class TunnelCompared:
    """Vertical autorotation as sink rate over ideal hover inflow: this tool, a wind tunnel, and what is often said."""

    head_speed_rpm: float
    blade_loading: float
    """CT over solidity in the glide."""
    machine_ratio: float | None
    """This machine: rotor, tail where it turns, drag of head and airframe."""
    rotor_ratio: float | None
    """Its main rotor alone, no shaft torque."""
    ideal_ratio: float | None
    """Its main rotor with the drag of its blades paid for by someone else."""
    tunnel_ratio: Interval
    """Small rotors in NACA TN-2474, no shaft torque, at the nearest blade loading that was tried."""
    tunnel_blade_loading: Interval
    often_said_ratio: float
    """True of an ideal or a full-size rotor only."""


@dataclass(frozen=True, kw_only=True)
class WhatIf:
    """One change, and what it does to the glide of least sink rate and to the energy."""

    change: str
    head_speed_rpm: float
    least_sink_m_s: float | None
    vertical_sink_m_s: float | None
    collective_deg: float | None
    rotor_energy_j: float
    energy_height_m: float
    hover_time_s: float
    flare_reserve_s: float
    why_none: str | None


@dataclass(frozen=True, kw_only=True)
class DescendAnswer:
    """Autorotation of one machine. Every figure is an estimate with its uncertainty, never a permission."""

    machine: str
    machine_revision: int
    density_kg_m3: float
    hover_inflow_m_s: float
    """Ideal inflow of a hover: sink rates are told in it, too."""
    tail_driven: bool | None
    head_speeds: tuple[HeadSpeedDescent, ...]
    settled: tuple[SettledRow, ...]
    vertical: tuple[VerticalRow, ...]
    tunnel: TunnelCompared
    airs: tuple[AirRow, ...]
    what_if: tuple[WhatIf, ...]
    doubts: tuple[Doubt, ...]
    checks: tuple[Verdict, ...]
    verdict: Outcome
    reasons: tuple[str, ...]
    unknowns: tuple[str, ...]
    typical: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    bail_outs: tuple[BailOut, ...] = ()
    """From the fastest flight mode, or the one asked for: straight down, and from the glide that sinks least."""
    landing: Landing | None = None
    height_velocity: HeightVelocity | None = None
    device: str = "cpu"
    """What flew the drawn bail-outs: cpu, or a graphics card by its name; few at a time are always flown by the cpu."""

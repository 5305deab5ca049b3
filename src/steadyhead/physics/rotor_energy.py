"""The energy stored in the turning rotor, in words a flyer can use: metres, seconds of hover, an index, a reserve."""

from steadyhead.physics.air import GRAVITY_M_S2
from steadyhead.physics.kernel import kernel

STALL_MARGIN = 0.8
"""Share of the greatest thrust that a landing is reckoned with. Source: Prouty 1986 p. 363 (second-hand)."""
SEA_LEVEL_KG_M3 = 1.225
"""Density that the sea-level index is made for. Source: ISO 2533:1975."""


@kernel
def rotor_energy(head_kg_m2: float, head_rad_s: float) -> float:
    """Energy of the turning rotor, J.

    E = 1/2 J w^2
    Valid: any speed; J of everything that keeps turning with the head.
    Source: definition.
    """
    return 0.5 * head_kg_m2 * head_rad_s * head_rad_s


@kernel
def energy_height(energy_j: float, weight_n: float) -> float:
    """Height from which the machine would fall to have this energy, m.

    h = E / W
    Valid: weight above zero; a measure of energy, no height that can be flown.
    Source: definition.
    """
    return energy_j / weight_n


@kernel
def hover_time(energy_j: float, hover_power_w: float) -> float:
    """Time in which a hover would use up an energy if its power stayed the same, s.

    t = E / P
    Valid: power above zero; as the rotor slows the power changes, see `usable_energy` for what can be used.
    Source: kinetic-energy time, Prouty 1986 p. 348; NDARC Theory, NASA/TP-2009-215402 (both second-hand).
    """
    return energy_j / hover_power_w


@kernel
def least_head_speed(head_rad_s: float, weight_n: float, greatest_thrust_n: float) -> float:
    """Head speed at which 0.8 of the greatest thrust still carries the weight, rad/s.

    w_min = w sqrt(W / (0.8 T_max)), T_max at w
    Valid: thrust with the square of speed; stall angle not moving with Reynolds number. Above w: it cannot hover there.
    Source: Prouty 1986 p. 363 (second-hand), solved for speed.
    """
    share: float = weight_n / (STALL_MARGIN * greatest_thrust_n)
    return float(head_rad_s * share**0.5)


@kernel
def usable_energy(energy_j: float, weight_n: float, greatest_thrust_n: float) -> float:
    """Energy that the rotor gives before it no longer carries the weight, J.

    E (1 - W / (0.8 T_max)) = E (1 - (CW/sigma) / (0.8 (CT/sigma)_max)), none where that is below zero
    Valid: as `least_head_speed`.
    Source: equivalent hover time, Prouty 1986 p. 363 (second-hand).
    """
    return energy_j * max(1.0 - weight_n / (STALL_MARGIN * greatest_thrust_n), 0.0)


@kernel
def flare_index(energy_j: float, weight_n: float, disc_area_m2: float) -> float:
    """Autorotation index by Fradenburgh, m3/N.

    AI = (1/2 J w^2) / (W W/A)
    Valid: a number to compare machines of one size with; thresholds of full-size machines do not transfer to a model.
    Source: Fradenburgh 1984, J. American Helicopter Society 29(3), as quoted by Scaramuzzino et al. (second-hand).
    """
    return energy_j * disc_area_m2 / (weight_n * weight_n)


@kernel
def sea_level_index(energy_j: float, weight_n: float, disc_area_m2: float, density_kg_m3: float) -> float:
    """Autorotation index by Prouty, m3/N; at sea level twice that of `flare_index`.

    AI = J w^2 / (W W/A) rho / rho0
    Valid: as `flare_index`.
    Source: Prouty 1986 p. 363 (second-hand).
    """
    return 2.0 * flare_index(energy_j, weight_n, disc_area_m2) * density_kg_m3 / SEA_LEVEL_KG_M3


@kernel
def sink_energy(weight_n: float, sink_m_s: float) -> float:
    """Energy of a machine's own sinking, J: what a landing has to take away.

    E = 1/2 W / g S^2
    Valid: any; the height lost during the flare comes on top.
    Source: definition.
    """
    return 0.5 * weight_n / GRAVITY_M_S2 * sink_m_s * sink_m_s

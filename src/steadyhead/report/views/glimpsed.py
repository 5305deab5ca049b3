"""The quick look under the sliders of the plan."""

from dataclasses import dataclass

from steadyhead.machine.description import Machine
from steadyhead.plan.choices import FEWEST_TEETH, TEETH_EACH_WAY
from steadyhead.plan.glimpse import Glimpse
from steadyhead.report.content import Cell, Table, columns
from steadyhead.report.wording import duration, figure, percent

ROOM = 0.25
"""How far past the head speeds of the flight modes the slider goes, either way."""


@dataclass(frozen=True, kw_only=True)
class SliderEnds:
    """From where to where the sliders go, and where they stand at first."""

    head_speed_rpm: tuple[int, int]
    now_rpm: int
    pinion_teeth: tuple[int, int]
    now_teeth: int
    next_teeth: tuple[int, int]
    """One tooth less, and one more, where there is room."""


def slider_ends(machine: Machine) -> SliderEnds:
    """Return slider ends round the machine's own head speeds and pinion."""
    speeds = [mode.head_speed.number for mode in machine.flight_mode] or [2000.0]
    teeth, gear = int(machine.gears.pinion_teeth.number), int(machine.gears.main_gear_teeth.number)
    ends = max(teeth - TEETH_EACH_WAY, FEWEST_TEETH), min(teeth + TEETH_EACH_WAY, gear - 1)
    low, high = (1.0 - ROOM) * min(speeds), (1.0 + ROOM) * max(speeds)
    return SliderEnds(
        head_speed_rpm=(round(low / 10.0) * 10, round(high / 10.0) * 10),
        now_rpm=round(speeds[0]),
        pinion_teeth=ends,
        now_teeth=teeth,
        next_teeth=(max(teeth - 1, ends[0]), min(teeth + 1, ends[1])),
    )


def glimpse_words(seen: Glimpse) -> str:
    """Return ratio, tip speed and hover time in one line, with the caution."""
    return (
        f"Ratio {seen.gear_ratio:.2f}, tip speed {figure(seen.tip_speed_m_s, 'm/s')}, hover to the reserve "
        f"{duration(seen.hover_time_s)}. {seen.caution}"
    )


def glimpse_table_html(seen: Glimpse) -> str:
    """Return the loads as a table in HTML."""
    from steadyhead.report.html import rendered

    table = Table(
        caption=f"{figure(seen.head_speed_rpm, 'rpm', step=1.0)} with {seen.pinion_teeth} teeth, pack at its worst",
        columns=columns("Load", "Duty", "Duty left", "Pack current", "Winding", "Ceiling"),
        rows=tuple(
            (
                Cell(text=load.load),
                Cell(text=percent(load.duty)),
                Cell(text=percent(load.head_room) if load.held else "cannot hold", strong=not load.held),
                Cell(text=figure(load.pack_current_a, "A")),
                Cell(text=figure(load.winding_temperature_c, "degC")),
                Cell(text=figure(load.ceiling_rpm, "rpm", step=1.0)),
            )
            for load in seen.loads
        ),
        shape="slide",
    )
    return rendered("table.html.j2", table=table)

"""Result objects made by hand, so that the sheet is tested without solving anything. All of it is invented."""

from dataclasses import dataclass, field
from itertools import product

import numpy as np

from steadyhead.channel.result import ChannelAnswer, EndPoints, Law, ModeCurve, Reading, Thresholds
from steadyhead.judge.result import BailOut, Judgement, LoadEvent, Segment, SteadyWindow
from steadyhead.plan.result import Choice, ConditionFigures, Doubt, ModePlan, Plan
from steadyhead.report.names import CHECKS
from steadyhead.trace.trace import Trace
from steadyhead.words import cautions
from steadyhead.words.value import Origin, Value
from steadyhead.words.verdict import Limit, Outcome, Verdict, worst

PRACTICE = "common practice, no source"
SPEEDS = {"normal": 1850.0, "idle-up 1": 2050.0, "idle-up 2": 2250.0}
LOADS = {"hover": 0.0, "climb": 0.13, "hard cyclic": 0.16, "fast forward": 0.05}


@dataclass(frozen=True)
class HandMachine:
    """Answers what the sheet asks of a machine."""

    name: str = "Hand-made 600"
    revision: int = 3
    size_class: int = 600
    invented: bool = True
    flight_mode: tuple[object, ...] = ()
    values_: dict[str, Value] = field(default_factory=dict)

    def value(self, key: str) -> Value | None:
        known = {
            "governor.soft_spool": Value(number=15, unit="s", si=15, spread_si=0, origin=Origin.MAKER),
            "channel.hold": Value(number=0, unit="percent", si=0, spread_si=0, origin=Origin.TYPICAL),
            "airframe.mass": Value(number=3.6, unit="kg", si=3.6, spread_si=0.3, origin=Origin.TYPICAL),
            "rotor.drag_factor": Value(number=1, unit="", si=1, spread_si=0.15, origin=Origin.TYPICAL),
        }
        return (known | self.values_).get(key)

    def typical(self) -> tuple[str, ...]:
        return ("airframe.mass", "rotor.drag_factor", "channel.hold")

    def missing(self) -> tuple[str, ...]:
        return ("governor.quick_spool", "motor.winding_temperature_max")

    def limit(self, key: str) -> Limit | None:
        return Limit(value=0.95, unit="", origin=PRACTICE) if key == "limits.duty_max" else None


def condition(load: str, charge: float, warmth_c: float, speed_rpm: float) -> ConditionFigures:
    duty = speed_rpm / 2750.0 + LOADS[load] * (speed_rpm / 2250.0) ** 3 * 0.8 + 0.08 * (1 - charge)
    duty += 0.02 if warmth_c < 15 else 0.0
    solved = duty <= 1.0
    duty = min(duty, 1.0)
    check = Verdict.at_most("duty_margin", duty, Limit(value=0.95, unit="", origin=PRACTICE), what="duty")
    power = 500.0 * (speed_rpm / 2000.0) ** 3 * (1.0 + 20.0 * LOADS[load])
    share = (0.96, 1.04)
    return ConditionFigures(
        condition=f"{load}, {'full' if charge == 1 else 'half' if charge == 0.5 else 'reserve'}, "
        f"{'cold' if warmth_c < 15 else 'warm'}",
        load=load,
        charge=charge,
        pack_temperature_c=warmth_c,
        solved=solved,
        collective_deg=5.2 + 30 * LOADS[load],
        collective_deg_interval=(5.0, 5.4 + 30 * LOADS[load]),
        thrust_n=36.0,
        rotor_power_w=power * 0.8,
        rotor_power_w_interval=(power * 0.75, power * 0.86),
        tail_power_w=power * 0.1,
        gear_power_w=power * 0.06,
        shaft_power_w=power,
        shaft_power_w_interval=(power * share[0], power * share[1]),
        motor_loss_w=power * 0.09,
        controller_loss_w=power * 0.04,
        pack_loss_w=power * 0.03,
        pack_power_w=power * 1.17,
        motor_rpm=speed_rpm * 10.3,
        motor_current_a=power / 21,
        motor_current_a_interval=(power / 22, power / 20),
        pack_current_a=power / 24,
        pack_current_a_interval=(power / 25, power / 23),
        pack_voltage_v=22.1,
        cell_voltage_v=3.68,
        duty=duty,
        duty_interval=(duty - 0.021, min(1.0, duty + 0.022)),
        head_room=1.0 - duty,
        ceiling_rpm=speed_rpm / duty,
        ceiling_rpm_interval=(speed_rpm / duty - 30, speed_rpm / duty + 30),
        winding_temperature_c=61.0 + power / 80,
        winding_temperature_c_interval=(55.0, 70.0 + power / 60),
        controller_temperature_c=48.0,
        held_for_s=300.0 if load == "hover" else 20.0,
        tip_speed_m_s=speed_rpm / 60 * 2 * np.pi * 0.67,
        tip_mach=0.42,
        blade_loading=0.06,
        stalled_share=0.0,
        figure_of_merit=0.58,
        verdict=check.verdict if solved else Outcome.FAIL,
        checks=(check,),
        reasons=(check.reason,),
    )


def mode_plan(mode: str, speed_rpm: float) -> ModePlan:
    cases = tuple(
        condition(load, charge, t, speed_rpm) for load, charge, t in product(LOADS, (1.0, 0.5, 0.2), (25.0, 5.0))
    )
    return ModePlan(
        mode=mode,
        head_speed_rpm=speed_rpm,
        conditions=cases,
        flight_time_s=410.0,
        flight_time_s_interval=(370.0, 455.0),
        verdict=worst(c.verdict for c in cases),
        reasons=("duty in hard cyclic at reserve",),
    )


def plan(speeds: dict[str, float] | None = None, machine: str = "Hand-made 600") -> Plan:
    modes = tuple(mode_plan(mode, rpm) for mode, rpm in (speeds or SPEEDS).items())
    pinions = tuple(
        Choice(
            name=f"{teeth} teeth",
            pinion_teeth=teeth,
            gear_ratio=113 / teeth,
            current=teeth == 11,
            rank=abs(teeth - 12) * 2 + (teeth < 12),
            verdict=Outcome.PASS if teeth in (12, 13) else Outcome.FAIL,
            least_head_room=(teeth - 10.4) / 30,
            hover_duty=(0.62, 0.79),
            peak_pack_current_a=95.0 + teeth,
            flight_time_s=400.0,
            reasons=("duty stays under its limit", "hover duty is within 65 to 85 %"),
        )
        for teeth in range(8, 15)
    )
    return Plan(
        machine=machine,
        machine_revision=3,
        density_kg_m3=1.204,
        modes=modes,
        pinions=pinions,
        packs=(),
        doubts=(
            Doubt(
                key="rotor.drag_factor",
                origin="typical",
                figure="duty in hard cyclic",
                share=0.52,
                sentence="log a hover with pack voltage and current: it fits the drag of the blade section",
            ),
            Doubt(
                key="airframe.mass",
                origin="typical",
                figure="hover duty",
                share=0.31,
                sentence="weigh the machine ready to fly, pack included",
            ),
        ),
        typical=("airframe.mass",),
        verdict=worst(m.verdict for m in modes),
        reasons=("idle-up 2 runs out of duty in hard cyclic with the pack at its reserve.",),
        unknowns=("The winding's highest temperature is not known.",),
        warnings=(),
        cautions=cautions.ALL,
    )


def channel(speeds: dict[str, float] | None = None) -> ChannelAnswer:
    def percent_for(rpm: float) -> float:
        return round(54.2 + (rpm - 1000.0) / 43.0, 1)

    modes = tuple(
        ModeCurve(
            mode=mode,
            target_rpm=rpm,
            curve_percent=percent_for(rpm),
            curve_us=1100 + 8 * percent_for(rpm),
            expected_rpm=rpm + 4,
            expected_rpm_interval=(rpm - 9, rpm + 17),
            rpm_per_step=5.4,
            verdict=Outcome.PASS,
            reason="within reach",
        )
        for mode, rpm in (speeds or SPEEDS).items()
    )
    knots = tuple((p, 1000.0 + 43.0 * (p - 54.2)) for p in (60.0, 100.0))
    gap = Limit(value=2.0, unit="steps", origin=PRACTICE)
    return ChannelAnswer(
        machine="Hand-made 600",
        machine_revision=3,
        readings=tuple(
            Reading(percent=p, head_speed_rpm=1000 + 43 * (p - 54.2) + e, spread_rpm=8.0, source="bench log")
            for p, e in ((74, 3.0), (79, -4.0), (83.5, 2.0))
        ),
        law=Law(
            kind="affine",
            chosen_because="a proportional law misses the third reading by 66 rpm",
            slope_rpm_per_percent=43.1,
            slope_rpm_per_percent_interval=(41.6, 44.5),
            zero_percent=30.9,
            zero_percent_interval=(29.6, 32.2),
            floor_rpm=None,
            ceiling_rpm=None,
            residual_rpm=3.1,
            knots=knots,
            reach_rpm=(1250.0, 2970.0),
        ),
        modes=modes,
        end_points=EndPoints(
            low_us=1100.0,
            high_us=1900.0,
            learned_low_us=1096.0,
            learned_high_us=None,
            low_travel_percent=101.0,
            high_travel_percent=None,
            checks=(Verdict.unknown("end_point_high", "the learned high end is not known"),),
        ),
        thresholds=Thresholds(
            cut_off_percent=4.0,
            cut_off_us=1132.0,
            start_percent=9.0,
            start_us=1172.0,
            hysteresis_us=40.0,
            margin_us=14.0,
            margin_steps=7.0,
            start_delay_s=1.2,
            start_delay_s_interval=(1.1, 1.3),
            start_delay_from_autorotation_s=0.3,
            checks=(Verdict.at_least("threshold_margin", 7.0, gap, what="margin to the start threshold"),),
        ),
        step_us=2.0,
        jitter_us=1.0,
        autorotation_window_percent=(5.1, 8.2),
        autorotation_percent=6.6,
        next_reading_percent=90.0,
        next_reading_because="it halves the doubt on the slope.",
        checks=(),
        verdict=Outcome.UNKNOWN,
        reasons=("The end that the controller learned at the top is not known.",),
        unknowns=("The learned high end.",),
        warnings=(),
        cautions=cautions.ALL,
    )


def trace(seconds: float = 240.0, rate_hz: float = 20.0) -> Trace:
    time_s = np.arange(0.0, seconds, 1.0 / rate_hz)
    random = np.random.default_rng(7)
    speed = np.interp(
        time_s, [0, 8, 22, 100, 101, 160, 168, 170, 215, 225], [0, 0, 2050, 2050, 2250, 2250, 1900, 2250, 2250, 0]
    )
    speed = speed + random.normal(0.0, 4.0, time_s.size) * (speed > 500)
    climb = (time_s % 30.0 < 3.0) & (time_s > 30.0) & (time_s < 150.0)
    duty = np.clip(speed / 2750.0 + 0.14 * climb, 0.0, 1.0)
    return Trace(
        source="flight.csv",
        time_s=time_s,
        channels={"head_speed_rpm": speed - 55.0 * climb, "duty": duty},
        rows_read=time_s.size,
    )


def checks() -> tuple[Verdict, ...]:
    percent = Limit(value=4.0, unit="%", origin=PRACTICE)
    known = {
        "steady_band": Verdict.at_most(
            "steady_band", 0.62, Limit(value=1.0, unit="%", origin=PRACTICE), what="steady band"
        ),
        "climb_droop": Verdict.at_most("climb_droop", 2.6, percent, what="droop", interval=(2.3, 2.9)),
        "overspeed": Verdict.at_most("overspeed", 6.1, Limit(value=5.0, unit="%", origin=PRACTICE), what="overspeed"),
        "pack_resistance": Verdict.unknown("pack_resistance", "the log has no pack voltage", needs=["pack_voltage_v"]),
    }
    good = Limit(value=2.0, unit="s", origin=PRACTICE)
    return tuple(known.get(check) or Verdict.at_most(check, 1.2, good, what=check) for check in CHECKS)


def judgement(log: str = "flight.csv", checks_: tuple[Verdict, ...] | None = None) -> Judgement:
    found = checks() if checks_ is None else checks_
    kinds = [
        ("rest", 0, 8),
        ("soft_spool", 8, 22),
        ("governed", 22, 100.5),
        ("governed", 100.5, 160),
        ("autorotation", 160, 168),
        ("quick_spool", 168, 170),
        ("governed", 170, 215),
        ("coast", 215, 225),
        ("stopped", 225, 239.95),
    ]
    segments = tuple(
        Segment(
            kind=k,
            start_s=a,
            end_s=b,
            set_rpm=(2050.0 if a < 100 else 2250.0) if k == "governed" else None,
            mean_rpm=2150.0,
            steady_band_percent=0.6 if k == "governed" else None,
            duty_max=0.93,
            energy_wh=12.0,
        )
        for k, a, b in kinds
    )
    events = tuple(
        LoadEvent(
            kind="climb",
            start_s=s,
            end_s=s + 3,
            set_rpm=2050,
            droop_percent=2.6,
            undershoot_percent=3.2,
            overshoot_percent=6.1,
            load_recovery_s=0.4,
            unload_recovery_s=0.7,
            recovered=True,
            duty_max=0.93,
            pack_current_max_a=88.0,
            pack_voltage_min_v=21.0,
        )
        for s in (60.0, 90.0, 120.0)
    )
    return Judgement(
        log=log,
        machine="Hand-made 600",
        machine_revision=3,
        rows_read=4800,
        warnings=("3 rows repeat their time and were left out",),
        history=("read 4800 rows", "motor rpm over gear ratio"),
        segments=segments,
        steady=(
            SteadyWindow(
                start_s=25,
                end_s=55,
                set_rpm=2050,
                mean_rpm=2049,
                channel_percent=78.6,
                band_half_width_percent=0.6,
                hunting_hz=None,
                hunting_percent=None,
                duty_mean=0.7,
                pack_voltage_mean_v=None,
                pack_current_mean_a=None,
            ),
        ),
        events=events,
        bail_outs=(
            BailOut(
                start_s=168,
                motor_started_after_s=0.2,
                quick=True,
                to_set_speed_s=1.6,
                height_lost_m=None,
                least_rpm=1890,
            ),
        ),
        checks=found,
        advice=("Lower the governor's gain by 20 % and log the same climb-out again.",),
        verdict=worst(c.verdict for c in found),
        unknowns=("Pack resistance: the log has no pack voltage.",),
        pack_resistance_mohm=None,
        pack_resistance_mohm_interval=None,
        energy_wh=61.0,
        charge_used_mah=2810.0,
        cautions=cautions.ALL,
        trace=trace(),
    )

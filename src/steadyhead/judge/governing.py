"""The arithmetic of governing quality, in the vocabulary of ISO 3046-4 and ISO 8528-5. Percent of the set speed."""


def speed_droop_percent(unloaded_rpm: float, loaded_rpm: float, declared_rpm: float) -> float:
    """Return the speed lost from no load to load, percent.

    Equation: (n_unloaded - n_loaded) / n_declared * 100
    Valid: steady speeds, declared_rpm > 0.
    Source: vocabulary of ISO 3046-4 and ISO 8528-5, meaning from memory.
    """
    return (unloaded_rpm - loaded_rpm) / declared_rpm * 100.0


def speed_band_percent(least_rpm: float, greatest_rpm: float, declared_rpm: float) -> float:
    """Return the full width of the steady-state speed band, percent; its half is what the machine file limits.

    Equation: (n_max - n_min) / n_declared * 100
    Valid: constant load, declared_rpm > 0.
    Source: vocabulary of ISO 3046-4 and ISO 8528-5, meaning from memory.
    """
    return (greatest_rpm - least_rpm) / declared_rpm * 100.0


def transient_deviation_percent(peak_rpm: float, before_rpm: float, declared_rpm: float) -> float:
    """Return how far a peak lies from the speed before a load change, percent; negative for a drop.

    Equation: (n_peak - n_before) / n_declared * 100
    Valid: declared_rpm > 0; give the declared speed as the speed before to measure from rated speed.
    Source: vocabulary of ISO 3046-4 and ISO 8528-5, meaning from memory.
    """
    return (peak_rpm - before_rpm) / declared_rpm * 100.0


def head_room(voltage_available_v: float, voltage_needed_v: float) -> float:
    """Return the share of the voltage that is left, 0 to 1; the same as 1 - duty.

    Equation: (V_available - V_needed) / V_available
    Valid: voltage_available_v > 0; negative when the drive cannot hold the speed.
    Source: own definition.
    """
    return (voltage_available_v - voltage_needed_v) / voltage_available_v

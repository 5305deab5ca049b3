"""[machine], [airframe] and [site]: which machine this is, and where it flies."""

from typing import Annotated

from steadyhead.machine.keys import Flag, Whole, Words
from steadyhead.machine.tables.table import REQUIRED, TYPICAL, UNUSED, Table, quantity
from steadyhead.words.value import Value


class Identity(Table):
    """[machine]: the name of the machine and its size."""

    name: Annotated[str, Words(says="what you call this machine; with a letter or a digit in it", missing=REQUIRED)]
    size_class: Annotated[
        int, Whole(says="size class in mm: what is left out is filled from it", missing=REQUIRED, low=400, high=800)
    ]
    revision: Annotated[
        int,
        Whole(says="count it up when you change a part: old evidence is then void", missing=UNUSED, low=1, high=9999),
    ] = 1
    invented: Annotated[bool, Flag(says="true when nobody owns this machine", missing=UNUSED)] = False
    note: Annotated[str, Words(says="anything worth knowing", missing=UNUSED, longest=400)] = ""


class Airframe(Table):
    """[airframe]: what the rotor has to carry and to push through the air."""

    mass: Annotated[
        Value | None, quantity("flying mass, pack fitted", "kg", 0.2, 15, "3.6 kg +- 2 %", TYPICAL, doubt=0.03)
    ] = None
    drag_area: Annotated[
        Value | None,
        quantity(
            "drag area seen from the front: drag over dynamic pressure", "cm2", 1, 2000, "180 cm2", TYPICAL, doubt=0.3
        ),
    ] = None


class Site(Table):
    """[site]: the air that is planned for."""

    elevation: Annotated[
        Value | None, quantity("height of the field above the sea", "m", -430, 5000, "240 m", TYPICAL)
    ] = None
    temperature: Annotated[
        Value | None, quantity("air temperature that is planned for", "degC", -30, 50, "18 degC", TYPICAL)
    ] = None
    pressure: Annotated[
        Value | None,
        quantity(
            "air pressure read at the field (not reduced to the sea); overrides elevation",
            "hPa",
            500,
            1100,
            "985 hPa",
            UNUSED,
        ),
    ] = None

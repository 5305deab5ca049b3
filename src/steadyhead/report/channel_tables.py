"""The throttle channel in tables: the law, the readings it rests on, and its verdicts."""

from steadyhead.channel.fitted_law import law_name
from steadyhead.channel.result import ChannelAnswer
from steadyhead.report.content import Cell, Table, cells, columns
from steadyhead.report.names import file_name
from steadyhead.report.wording import NOT_KNOWN, figure, ranged, span, spread_words


def law_table(channel: ChannelAnswer) -> Table:
    """Return the numbers of the set-point law."""
    law = channel.law
    zero = ranged(law.zero_percent, law.zero_percent_interval, "%")
    rows = [
        cells("Kind", law_name(law.kind), law.chosen_because),
        cells(
            "Slope",
            ranged(law.slope_rpm_per_percent, law.slope_rpm_per_percent_interval, "rpm per %"),
            "head speed gained for each percent of the channel",
        ),
        cells("Reaches zero at", zero, "where the fitted line would reach zero head speed"),
        cells("Residual", figure(law.residual_rpm, "rpm"), "how far the readings lie from the law"),
        cells("Reach", span(law.reach_rpm, "rpm"), "lowest and highest head speed that the law can ask for"),
    ]
    for name, value in (("Floor", law.floor_rpm), ("Ceiling", law.ceiling_rpm)):
        if value is not None:
            rows.append(cells(name, figure(value, "rpm"), "the law does not go past it"))
    rows.append(cells("One step", figure(channel.step_us, "us"), f"jitter {figure(channel.jitter_us, 'us')}"))
    return Table(
        caption="Set-point law, channel percent to head speed",
        columns=columns("Number", "Value", "What it says", words=(0, 1, 2), weights=(1.0, 1.4, 2.6)),
        rows=tuple(rows),
        shape="pairs",
        note="In brackets the 90 % interval.",
    )


def reading_table(channel: ChannelAnswer) -> Table:
    """Return the readings that the law rests on."""
    return Table(
        caption="Readings",
        columns=columns("From", "Channel", "Head speed", "90 % half width", words=(0,), weights=(2.2, 1.0, 1.0, 1.2)),
        note="" if channel.readings else "No reading is kept yet.",
        rows=tuple(
            (
                Cell(text=file_name(reading.source) or NOT_KNOWN),
                Cell(text=f"{reading.percent:.4g} %"),
                Cell(text=figure(reading.head_speed_rpm, "rpm", step=1.0)),
                Cell(text=spread_words(reading)),
            )
            for reading in channel.readings
        ),
    )

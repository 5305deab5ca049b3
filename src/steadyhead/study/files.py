"""The files of a study: every row as Parquet, the summary as JSON, the chart as SVG."""

from pathlib import Path

from steadyhead.report.files import write_whole
from steadyhead.study.chart import study_chart
from steadyhead.study.chunks import parquet_bytes
from steadyhead.study.result import StudyAnswer
from steadyhead.words.plain import json_text


def write_study(folder: Path, answer: StudyAnswer) -> tuple[Path, ...]:
    """Write rows.parquet, summary.json and study.svg, all or none, and return their paths.

    Raises: OSError when one cannot be written.
    """
    from steadyhead.report.figures.chart import chart_drawing

    files = {
        folder / "rows.parquet": parquet_bytes(answer.table),
        folder / "summary.json": json_text(answer).encode(),
        folder / "study.svg": chart_drawing(study_chart(answer)).svg.encode(),
    }
    write_whole(files)
    return tuple(files)

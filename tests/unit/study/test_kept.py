"""Studies that pages begin: laid out beside the record, refused when they reach elsewhere, found again."""

import pytest

from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.study.asked import Collects
from steadyhead.study.figures import governor_cells, plan_cells
from steadyhead.study.kept import AGAINST, OFFERED, kept_studies, lay_out, study_text
from steadyhead.words.errors import InputError

MACHINE = bundled("fox600").read_text("utf-8")


def laid(record, text, name="fox600.toml"):
    return lay_out(record, "Fox 600", text, name, MACHINE)


def test_the_small_form_makes_a_study_that_reads_and_is_found_again(tmp_path):
    record = tmp_path / "record.sqlite"
    text = study_text("fox600.toml", "plan", "verdict", (12, 14), 7)
    study = laid(record, text)
    assert (study.parts_done, study.done) == (0, False)
    assert study.says == "plan, verdict, 21 machines"
    assert study.file.read_text("utf-8") == text
    assert laid(record, text) == study
    assert kept_studies(record, "Fox 600") == (study,)
    assert kept_studies(record, "Wren 450") == ()


ASKED = [(one.value, "verdict") for one in OFFERED] + [(one, "trade") for one in AGAINST]


@pytest.mark.parametrize(("collects", "question"), ASKED)
def test_everything_that_the_form_offers_makes_a_study(tmp_path, collects, question):
    study = laid(tmp_path / "record.sqlite", study_text("fox600.toml", collects, question, (12, 13), 2))
    assert study.parts == (1 if collects == Collects.BAIL_OUT else 4)


@pytest.mark.parametrize("collects", [Collects.PLAN, Collects.GOVERNOR])
def test_what_is_traded_is_among_the_figures_of_its_command(collects):
    machine = read_machine(bundled("wren450"))
    cells = {Collects.PLAN: plan_cells, Collects.GOVERNOR: governor_cells}[collects](machine)
    assert set(AGAINST[collects]) <= set(cells)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('machine = "../other.toml"', "the file of this machine"),
        ('machine = "fox600.toml"\ncollect = "fly"\nscenario = "../../secret"\n', "scenario"),
        ('machine = "fox600.toml"\n[vary]\nno.key = "1 m"\n', "no.key"),
        ("machine = ", "no TOML"),
        ("[" * 5000, "no TOML"),
    ],
)
def test_what_reaches_elsewhere_or_is_no_study_is_refused_and_leaves_nothing(tmp_path, text, says):
    record = tmp_path / "record.sqlite"
    with pytest.raises(InputError, match=says):
        laid(record, text)
    assert list(tmp_path.iterdir()) == []


def test_a_machine_file_called_like_the_study_is_refused(tmp_path):
    with pytest.raises(InputError, match="another name"):
        laid(tmp_path / "record.sqlite", study_text("study.toml", "plan", "verdict", (12, 13), 2), "study.toml")

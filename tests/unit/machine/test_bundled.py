import pytest

from steadyhead.machine.bundled import BUNDLED, bundled
from steadyhead.machine.reading import read_machine
from steadyhead.words.errors import InputError


@pytest.mark.parametrize("name", BUNDLED)
def test_a_bundled_machine_reads_and_says_that_it_is_invented(name):
    read = read_machine(bundled(name))
    assert read.invented
    assert "INVENTED" in bundled(name).read_text("utf-8").splitlines()[0]
    assert read.typical()


def test_one_of_them_has_three_blades():
    assert sorted(int(read_machine(bundled(name)).value("rotor.blades").number) for name in BUNDLED) == [2, 2, 3]


def test_a_name_that_is_not_there_is_offered_the_nearest():
    with pytest.raises(InputError, match="did you mean fox600"):
        bundled("fox60")

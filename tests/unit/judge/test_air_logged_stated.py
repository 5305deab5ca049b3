"""A stated air density is taken as typed, and refused where no flying site has it.

Outside check: the standard atmosphere, ISO 2533, at the sea and at 6000 m.
"""

import pytest

from steadyhead.judge.air_logged import stated_density
from steadyhead.words.errors import InputError


@pytest.mark.parametrize("kg_m3", [1.225, 0.6597, None])
def test_what_was_stated_is_taken_as_it_is(kg_m3):
    assert stated_density("before", kg_m3) == kg_m3


@pytest.mark.parametrize("kg_m3", [12.25, 0.1225, -1.225, float("nan"), float("inf")])
def test_a_density_of_no_site_is_refused_as_it_was_typed(kg_m3):
    with pytest.raises(InputError, match=f"air density after: read {kg_m3:g} kg/m³; right would be 0.5 to 1.6"):
        stated_density("after", kg_m3)

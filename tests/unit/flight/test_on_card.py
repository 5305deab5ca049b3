"""A graphics card flies the same flights as the processor; without a card its simulator does, flight by flight."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from steadyhead.flight.device import Device, device_of
from steadyhead.words.errors import InputError

HERE = Path(__file__).resolve().parent
cuda = pytest.importorskip("numba.cuda")
WITHIN = 1e-8
"""The card adds up in another order than the processor; over thousands of steps the last digits part."""


def beside(script):
    """Run a script beside this file with a card or its simulator, and return what it printed."""
    more = {} if cuda.is_available() else {"NUMBA_ENABLE_CUDASIM": "1"}
    ran = subprocess.run(
        [sys.executable, "-W", "ignore", str(HERE / script)], env={**os.environ, **more}, capture_output=True,
        text=True, check=False, timeout=600,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr[-2000:]
    return json.loads(ran.stdout.splitlines()[-1])


@pytest.fixture(scope="module")
def found():
    return beside("fly_on_card.py")


def test_bail_outs_on_a_card_are_those_of_the_processor(found):
    assert found["flights"] >= 3
    assert found["same_endings"]
    assert found["told_gap"] < WITHIN
    assert found["settled_gap"] < WITHIN
    assert found["settling_moved_by"] > 1e-3


def test_whole_flights_on_a_card_are_those_of_the_processor(found):
    assert found["same_flights"]
    assert found["peaks_gap"] < WITHIN
    assert found["energy_j"] > 10.0


def test_a_machine_without_a_card_says_so():
    if cuda.is_available():
        pytest.skip("there is a card")
    with pytest.raises(InputError, match="no graphics card"):
        device_of("cuda")


def test_a_missing_library_names_its_extra(monkeypatch):
    monkeypatch.setitem(sys.modules, "numba.cuda", None)
    import numba

    monkeypatch.delattr(numba, "cuda", raising=False)
    with pytest.raises(InputError, match=r"steadyhead\[gpu\]"):
        device_of("cuda")


def test_an_unknown_device_is_refused():
    with pytest.raises(InputError, match="did you mean cuda"):
        device_of("cudo")


def test_the_processor_needs_no_card():
    assert device_of("cpu") is Device.CPU

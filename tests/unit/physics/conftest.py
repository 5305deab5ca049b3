"""Without the compiler the leaf equations are tested; searches through whole rotors are left out."""

import os

collect_ignore = (
    ["test_rotor_map.py", "test_glide.py", "test_flow_trim.py", "test_point_mass.py", "test_sound_kernels.py"]
    if os.environ.get("NUMBA_DISABLE_JIT") == "1"
    else []
)

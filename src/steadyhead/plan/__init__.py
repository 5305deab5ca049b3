"""What the machine can hold: steady solves for every flight mode and condition."""

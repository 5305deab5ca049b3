"""What the machine is: typed description, reading, size-class defaults, and the one bridge to SI floats."""

"""What systems other than this one ask of a program, held here as far as it can be simulated."""

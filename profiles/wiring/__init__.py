"""Electrical reasoning about the switch matrix, its pins, harness, power and timing.

Pure cores, on plain values:

- `matrix` reads a matrix; `hazards`, `needs` say what goes wrong; `diodes`, `hitting` cure it
- `numbering`: input numbers; `pins`: capacity and split
- `route`, `harness`, `continuity`: wires, cuts, steps of work and tests
- `power`, `gauge`, `timing`: figures with their sources; `boards`: board files

Adapters, from a device of the model to the cores:

- `circuit`: matrix, needs, numbers and pins; `electrical`: the verdict on all of it
- `box`: the harness; `leds`: currents; `pace`: times and frames; `settling`: rise of the lines
- `renumber`: what another numbering changes
"""

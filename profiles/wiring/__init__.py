"""Electrical reasoning about the switch matrix, its pins, harness, power and timing."""

"""Talking to a real box: reading it, testing it, diagnosing its wiring."""

"""Frozen values of the trade, and the library that links them."""

"""Platebook: describe, check, print and test your own input boxes from plain files."""

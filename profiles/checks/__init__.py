"""Checks: one small module per family, a registry, and a page for every code."""

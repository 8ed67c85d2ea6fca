"""Geometry of the faceplate: legibility, spacing, and where each label goes."""

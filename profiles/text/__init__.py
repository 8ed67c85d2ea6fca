"""Words: hostile text made inert, cells of a terminal, close spellings, lists as prose, signs,
findings.

Imports nothing of ours.
"""

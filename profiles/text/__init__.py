"""Words: hostile text made inert, close spellings, lists as prose, findings.

Imports nothing of ours.
"""

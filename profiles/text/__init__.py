"""Words: hostile text made inert, close spellings, lists as prose, signs, findings.

Imports nothing of ours.
"""

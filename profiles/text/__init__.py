"""Words: hostile text made inert, close spellings, lists as prose. Imports nothing of ours."""

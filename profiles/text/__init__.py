"""Words on their way out: text made inert for each output, one close spelling, lists in prose."""

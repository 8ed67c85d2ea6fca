"""A drawing surface of few verbs in millimetres, and its writers."""

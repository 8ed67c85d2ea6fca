"""Files torn to pieces, for every place where Platebook reads one.

`tear` makes the cases, `targets` says how each kind of file is read, `monsters` makes large ones,
`python -m tests.fuzz` reads as many as there is time for.
"""

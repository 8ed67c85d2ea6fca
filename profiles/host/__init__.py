"""What operating systems and their interfaces make of the inputs a box reports."""

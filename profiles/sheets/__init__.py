"""What goes on each printed sheet."""

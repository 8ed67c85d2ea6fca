"""Proposals: bindings and numbers worked out for the owner to accept."""

"""Readers of what goes with a kit: each works out anew what its sheet says."""

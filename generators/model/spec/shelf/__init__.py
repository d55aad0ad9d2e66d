"""What a shop has on its shelf, measured once, and what a spec takes of it."""

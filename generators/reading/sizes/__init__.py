"""Named sizes of a spec and the plain arithmetic of its values."""

"""Finished meshes read back."""

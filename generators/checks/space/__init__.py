"""Rules on bodies in space: what meets what, standing and moving."""

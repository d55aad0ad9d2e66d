"""What holds things as bodies: bolts, clamps, and the sheets they go through."""

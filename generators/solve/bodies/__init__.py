"""Everything in the vehicle as bodies: panels, parts, components, clamps, hoses, bolts, obstacles."""

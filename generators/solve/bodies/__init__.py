"""Everything that stands in the vehicle as bodies: sheets, components, clamps, hoses, bolts, obstacles."""

"""Sheet and plate: materials, gauges, least bend radii."""

"""Rules on bodies in the vehicle: what stands in something else, and what goes through uncut metal."""

"""Rules on hoses and where they are held."""

"""Rules on what is done to a part after it is cut: letters etched, threads cut."""

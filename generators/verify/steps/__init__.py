"""What the steps of a finished install sheet or page must say, whichever of the two they stand on."""

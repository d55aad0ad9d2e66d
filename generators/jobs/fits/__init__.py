"""`fits`: whether a kit goes on the vehicle somebody measured, and by which moves."""

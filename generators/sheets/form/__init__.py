"""The measuring form: a page or two to fill in at the vehicle, and the same for a phone."""

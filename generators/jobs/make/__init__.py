"""Every file of a spec."""

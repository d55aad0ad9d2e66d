"""The tables of a spec, as read: what the user measured and wants."""

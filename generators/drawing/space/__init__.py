"""A job in space as hidden-line views: what is in a picture, and what of it is seen; no kernel."""

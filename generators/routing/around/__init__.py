"""What hoses keep clear of: bodies, gaps, panels, each other, and ways round them."""

"""A solved job as a chance looks at it: what varies, what must hold, and by how much each moves it."""

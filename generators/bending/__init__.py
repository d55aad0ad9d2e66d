"""How a part is bent: the order of its bends on the shop's own tools, in which nothing meets."""

"""The machines sheet is bent on, as the shop's file tells of them."""

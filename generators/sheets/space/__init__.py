"""The job in space on paper: drawn views, and which things stand closest."""

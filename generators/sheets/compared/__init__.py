"""The sheet that shows two states of a job side by side."""

"""Commands for kits that go to vehicles nobody here has seen."""

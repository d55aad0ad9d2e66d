"""Pictures of the setup sheet read back: where flanges and tools are drawn, and in which order."""

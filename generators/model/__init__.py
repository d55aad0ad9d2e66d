"""The job as plain frozen data: no input, no output, no kernel, no file format."""

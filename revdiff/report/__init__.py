"""One renderer for each output, all over one review."""

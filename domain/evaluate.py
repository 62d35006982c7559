"""Build -> sheet: the whole computation, pure, reads like a table of contents."""

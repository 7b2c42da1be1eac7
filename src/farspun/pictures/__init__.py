"""Plain data in, a picture out."""

"""The same services as pages, for a phone at the scale and a desk."""

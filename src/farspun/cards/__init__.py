"""Plain data in, a printable sheet (PDF) out."""

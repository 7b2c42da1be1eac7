"""One function per thing a person can do."""

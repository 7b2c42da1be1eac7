"""Pure knowledge of yarn and cloth: numbers in, numbers out."""

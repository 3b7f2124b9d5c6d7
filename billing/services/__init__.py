"""Commands of billing, one function each."""

"""Commands on the practice's own tables, one function each."""

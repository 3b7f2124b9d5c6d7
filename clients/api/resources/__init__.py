"""Resources of the clients floor."""

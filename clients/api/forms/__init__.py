"""What the clients floor takes and shows over HTTP."""

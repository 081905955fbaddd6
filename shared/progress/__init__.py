"""Where a piece stands: what lies ready, what is done, what to make next."""

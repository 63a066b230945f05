"""Drawing records and what paper and screen share."""

"""The bag: body, top and parts put together, measured and judged."""

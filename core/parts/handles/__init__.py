"""The handles: strips joined, folded and sewn on."""

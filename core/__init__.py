"""The pattern model: pure Python, no Qt. Lengths are millimetres unless a name says otherwise."""

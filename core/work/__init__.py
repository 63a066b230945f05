"""The vocabulary of sewing: operations, states, settings of the machine."""

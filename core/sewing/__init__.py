"""The order of sewing: operations that the parts know, their order, its checks, the steps."""

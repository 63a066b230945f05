"""What a figure is, what a finding and a fix are."""

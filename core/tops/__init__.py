"""What is done to the opening of a bag. One folder or file each."""

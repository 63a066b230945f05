"""What two views or dialogs share."""

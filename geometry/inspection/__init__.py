"""What is read when a drawn border is checked: one module for each kind of finding."""

"""What goes through the shell: the doorway, the fan sleeve. One module a kind; no kernel."""

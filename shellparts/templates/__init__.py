"""Templates sawn of boards, in parts with joints, and the boards they are laid on. No kernel."""

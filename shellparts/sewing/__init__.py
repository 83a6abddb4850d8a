"""The sewing order: what is sewn when, with which thread, by how many hands. No kernel."""

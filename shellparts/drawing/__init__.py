"""What is drawn: lines and labels on layers, in millimetres, before any file format."""

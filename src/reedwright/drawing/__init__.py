"""Points, outlines, labels and hatches in millimetres: no paper, no backend."""

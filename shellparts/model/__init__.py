"""The scale model: the room as hollow parts that a small printer prints without supports.

`skin` is the room as one closed, labelled mesh; `printed` makes the parts of it, each standing on its best face.
"""

"""What the workshop needs: the drawing of the parts to make, as data and as DXF, with its cut list."""

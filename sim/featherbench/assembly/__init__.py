"""Parts -> mass moments about the feathering axis, part by part, and the blade's swing on its bolt."""

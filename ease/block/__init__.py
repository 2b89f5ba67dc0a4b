"""Cut: the block, its measuring, drafting and adjusting."""

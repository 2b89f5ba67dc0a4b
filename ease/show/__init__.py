"""Show: pictures of blocks, cloth and wear; axes in, axes out."""

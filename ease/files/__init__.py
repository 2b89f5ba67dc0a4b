"""In and out: the files a block is kept in, exchanged by and printed from."""

"""What a maker sells: parts, the chairs they build, declared products; and files of them."""

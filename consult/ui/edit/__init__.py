"""The content desk: trees as outline, form and text, with every mistake told."""

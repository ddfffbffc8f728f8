package search

// Tokens lists the tokens that a lot is found by, from the group that counts
// most to the one that counts least: name, tag, detail, what it is, other
// languages, shop, notes, and what the vocabulary adds. It is for those who
// index the same lots in another way, and want to find the same ones.
func (f *Facts) Tokens() [][]string { return f.texts[:] }

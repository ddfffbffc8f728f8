package standing

// Left counts what is held besides wants that stand: texts, filings and whatever
// few wants say.
func (w *Wants) Left() int {
	left := len(w.words.numbers) + len(w.lists.numbers) + len(w.extras) - len(w.spareExtras) + len(w.table.many) - len(w.table.spare)
	for _, s := range w.table.shards {
		left += s.used
	}
	return left
}

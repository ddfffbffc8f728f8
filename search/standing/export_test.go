package standing

// Left counts what is held besides wants that stand: texts, filings and whatever
// few wants say.
func (w *Wants) Left() int {
	left := len(w.words.numbers) + len(w.lists.numbers) + len(w.extras.all) - len(w.extras.spare) + len(w.table.many.all) - len(w.table.many.spare)
	for _, s := range w.table.shards {
		left += s.used
	}
	return left
}

package standing

// words numbers the texts that wants ask by: words, shops, regions, currencies.
// A text that no want has any more is forgotten, and its number given to the
// next.
type words struct {
	slots[word]
	numbers map[string]uint32
}

// word is a text and how much hangs on it.
type word struct {
	text string
	// uses is how many wants ask for it: the fewer, the rarer it is among lots too.
	uses uint32
	// alone is how many wants are filed under the word alone, and placed how many
	// are under it together with where they look.
	alone, placed uint32
}

func newWords() words { return words{numbers: map[string]uint32{}} }

// use numbers a text and counts one more want that asks for it.
func (w *words) use(text string) uint32 {
	n, there := w.numbers[text]
	if !there {
		n = w.keep(word{text: text})
		w.numbers[text] = n
	}
	w.all[n].uses++
	return n
}

// drop counts one want less.
func (w *words) drop(n uint32) {
	at := &w.all[n]
	if at.uses--; at.uses == 0 {
		delete(w.numbers, at.text)
		w.free(n)
	}
}

// useBytes is use for a text that need not be copied where it is known already.
func (w *words) useBytes(text []byte) uint32 {
	if n, there := w.numbers[string(text)]; there {
		w.all[n].uses++
		return n
	}
	return w.use(string(text))
}

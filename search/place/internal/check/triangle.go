package check

import (
	"bufio"
	"os"
	"path/filepath"
	"strings"

	"heirpress/search/place"
)

// triangle reads a table of miles as the Stanford GraphBase has it: a line for a
// town, "Yakima, WA[4660,12051]49826", and after it the miles to the town before,
// the one before that, and so on to the first. Lines that begin with a star are
// remarks.
func (r *reader) triangle(table string) {
	f, err := os.Open(filepath.Join(r.dir, table+".txt"))
	if err != nil {
		r.fail(table, err)
		return
	}
	defer f.Close()
	var towns []string
	back := 0
	for lines := bufio.NewScanner(f); lines.Scan(); {
		line := lines.Text()
		if strings.HasPrefix(line, "*") {
			continue
		}
		if name, _, ok := strings.Cut(line, "["); ok {
			towns, back = append(towns, name), 1
			continue
		}
		for word := range strings.FieldsSeq(line) {
			from, to := towns[len(towns)-1], towns[len(towns)-1-back]
			r.add(Pair{table, from, to, r.town(table, from), r.town(table, to), r.number(table, word) * place.KmPerMile})
			back++
		}
	}
}

package main

// landmasses tells which squares of a mask are one land: those that touch along
// a side, and those that touch these.
type landmasses struct {
	// rows are the runs of land in each row of the mask, from west to east.
	rows [][]run
	// parent is a forest: runs of one land have one root.
	parent []int32
}

// run is squares of land side by side, from first to last.
type run struct {
	first, last int32
	number      int32
}

func (m *mask) landmasses() *landmasses {
	l := &landmasses{rows: make([][]run, maskRows)}
	for row := range l.rows {
		l.readRow(m, row)
		if n := len(l.rows[row]); n > 1 && l.rows[row][0].first == 0 && l.rows[row][n-1].last == maskColumns-1 {
			l.join(l.rows[row][0].number, l.rows[row][n-1].number) // Across the date line.
		}
		if row > 0 {
			l.joinRows(l.rows[row-1], l.rows[row])
		}
	}
	return l
}

func (l *landmasses) readRow(m *mask, row int) {
	start := -1
	for column := 0; column <= maskColumns; column++ {
		if skip := m.alike(row*maskColumns+column, maskColumns-column, start >= 0); skip > 0 {
			column += skip - 1
			continue
		}
		land := column < maskColumns && m.bit(row*maskColumns+column)
		switch {
		case land && start < 0:
			start = column
		case !land && start >= 0:
			number := int32(len(l.parent))
			l.parent = append(l.parent, number)
			l.rows[row] = append(l.rows[row], run{int32(start), int32(column - 1), number})
			start = -1
		}
	}
}

func (l *landmasses) joinRows(above, below []run) {
	for i, k := 0, 0; i < len(above) && k < len(below); {
		if above[i].first <= below[k].last && below[k].first <= above[i].last {
			l.join(above[i].number, below[k].number)
		}
		if above[i].last < below[k].last {
			i++
		} else {
			k++
		}
	}
}

func (l *landmasses) join(a, b int32) { l.parent[l.root(a)] = l.root(b) }

func (l *landmasses) root(n int32) int32 {
	for l.parent[n] != n {
		l.parent[n] = l.parent[l.parent[n]]
		n = l.parent[n]
	}
	return n
}

// at is the land at a point, or -1 on water. A harbour may lie beside the
// outline: then it is the land a square or two away.
func (l *landmasses) at(lat, lng float64) int32 {
	row, column := maskSquare(lat, lng)
	for off := range 3 {
		for _, step := range [][2]int{{0, 0}, {0, 1}, {0, -1}, {1, 0}, {-1, 0}, {1, 1}, {1, -1}, {-1, 1}, {-1, -1}} {
			if n := l.inRow(row+off*step[0], column+off*step[1]); n >= 0 {
				return l.root(n)
			}
		}
	}
	return -1
}

func (l *landmasses) inRow(row, column int) int32 {
	if row < 0 || row >= maskRows {
		return -1
	}
	for _, r := range l.rows[row] {
		if int(r.first) <= column && column <= int(r.last) {
			return r.number
		}
	}
	return -1
}

package main

import (
	"fmt"
	"strings"
	"time"
)

// line is one figure, beside its goal.
type line struct {
	what, figure, goal string
	met                bool
}

// figures is the table of what heirpress is like besides.
func (r *report) figures(b *strings.Builder) {
	b.WriteString("\n| heirpress | measured | goal |\n| --- | --- | --- |\n")
	for _, lines := range [][]line{r.loading(), r.starting(), r.freshening(), r.crowding(), r.steadying()} {
		for _, l := range lines {
			fmt.Fprintf(b, "| %s | %s | %s |\n", l.what, l.figure, l.judged())
		}
	}
	for _, engine := range []string{pgName, liteName} {
		size, there := r.sizes[engine]
		if !there {
			continue
		}
		fmt.Fprintf(b, "| %s: bytes a lot on disk; the time to load | %d; %.0f s | |\n", engine, size/int64(r.loaded.Lots), r.brought[engine].Seconds())
	}
}

func (l line) judged() string {
	switch {
	case l.goal == "":
		return ""
	case l.met:
		return l.goal + ": met"
	}
	return l.goal + ": missed"
}

func (r *report) loading() []line {
	l := r.loaded
	searchable, index := perSecond(l.Lots, l.Searchable), float64(l.Index)/float64(l.Lots)
	when := ""
	if r.kept {
		when = " (by the run that loaded it)"
	}
	const most = 600 << 20
	return []line{
		{what: "durable posts, in batches of a shop, 4 at a time" + when, figure: fmt.Sprintf("%.0f lots a second", perSecond(l.Lots, l.Posted))},
		{"searchable ingest" + when, fmt.Sprintf("%.0f lots a second; %d µs of processor a lot", searchable, l.CPU.Microseconds()/int64(l.Lots)), "≥ 6,000", searchable >= 6_000},
		{"index on disk", fmt.Sprintf("%.0f bytes a lot", index), "≤ 0.9 KB", index <= 900},
		{what: "system of record on disk", figure: fmt.Sprintf("%d bytes a lot", l.Store/int64(l.Lots))},
		{what: "most memory while loading" + when, figure: fmt.Sprintf("%d MB", l.Peak>>20)},
		{"memory after the searches above", r.serving.String(), "≤ 600 MB resident", r.serving.resident <= most},
	}
}

func (r *report) starting() []line {
	var lines []line
	for _, f := range r.first {
		sum := f.ready + f.answer
		lines = append(lines, line{"start to first answer, " + f.family,
			fmt.Sprintf("%s ms (%s until it listens, %s for the search)", ms(sum), ms(f.ready), ms(f.answer)), "≤ 150 ms", sum <= 150*time.Millisecond})
	}
	return lines
}

func (r *report) freshening() []line {
	tell := func(f figures) string {
		return fmt.Sprintf("p50 %s, p99 %s, max %s ms", ms(f.p50), ms(f.p99), ms(f.max))
	}
	return []line{
		{"a post's answer to its being found, asking for its change", tell(r.fresh.asked), "≤ 100 ms", r.fresh.asked.p99 <= 100*time.Millisecond},
		{fmt.Sprintf("the same without, at most %d polls", r.fresh.polls), tell(r.fresh.unasked), "≤ 100 ms", r.fresh.unasked.p99 <= 100*time.Millisecond},
	}
}

func (r *report) crowding() []line {
	c, i := r.crowd, r.idling
	return []line{
		{what: fmt.Sprintf("%d clients at once, all kinds of search", crowdSize), figure: fmt.Sprintf("%.0f searches a second; p50 %s, p99 %s, max %s ms",
			perSecond(c.figures.calls, c.took), ms(c.figures.p50), ms(c.figures.p99), ms(c.figures.max))},
		{what: "memory before them, and with them", figure: c.before.String() + "; " + c.while.String()},
		{what: fmt.Sprintf("%d clients with deadlines of 1 to 5 ms on the broadest search for %s", crowdSize, i.took),
			figure: fmt.Sprintf("%d asked, %d gave up; %d ms of processor while they asked", i.asked, i.gaveUp, i.busy.Milliseconds())},
		{what: "after the last of them had gone", figure: fmt.Sprintf("%d ms of processor, idle after %d ms", i.after.Milliseconds(), i.until.Milliseconds())},
	}
}

func (r *report) steadying() []line {
	var lines []line
	for _, engine := range []string{ourName, pgName, liteName} {
		if rate, ok := r.steady[engine]; ok {
			lines = append(lines, line{what: "lots posted a second while searching, " + engine, figure: fmt.Sprintf("%.0f of %d", rate, steadyRate)})
		}
	}
	return lines
}

package main

import (
	"fmt"
	"runtime"
	"strings"
	"time"
)

// report is all that a run has found.
type report struct {
	options *options
	kept    bool // the data is from a run before
	// loadBefore is the machine's load at the start.
	loadBefore string
	loaded     *loaded
	first      []firstSearch
	serving    memory
	fresh      *freshness
	crowd      *crowd
	idling     *idling
	// results are by engine and family; steady is the rate that posting came to,
	// brought how long loading took, and sizes the bytes on disk, by engine.
	results map[string]map[string]*measured
	steady  map[string]float64
	brought map[string]time.Duration
	sizes   map[string]int64
}

func newReport(o *options) *report {
	return &report{
		options: o, loadBefore: machineLoad(), results: map[string]map[string]*measured{}, steady: map[string]float64{},
		brought: map[string]time.Duration{}, sizes: map[string]int64{},
	}
}

func (r *report) add(engine, family string, m *measured) {
	if r.results[engine] == nil {
		r.results[engine] = map[string]*measured{}
	}
	r.results[engine][family] = m
}

const (
	ourName  = "heirpress"
	pgName   = "PostgreSQL"
	bareName = "PostgreSQL without total"
	liteName = "SQLite"
)

// markdown is the report.
func (r *report) markdown() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d lots, seed %d, %d processors, %s, Linux; one client, up to %d searches warm up, then at most %d or %s a family.\n\n",
		r.loaded.Lots, r.options.seed, runtime.NumCPU(), runtime.Version(), warmUps, r.options.most, r.options.long)
	fmt.Fprintf(&b, "The machine's load over 1, 5 and 15 minutes was %s before and %s after.\n\n", r.loadBefore, machineLoad())
	r.table(&b)
	r.notes(&b)
	r.figures(&b)
	return b.String()
}

// names are the families that were measured, in order.
func (r *report) names() (names []string, by map[string]family) {
	by = map[string]family{}
	for _, f := range families {
		names, by[f.name] = append(names, f.name), f
	}
	for _, f := range families[:steadyFamilies] {
		names, by[steadyName(f)] = append(names, steadyName(f)), f
	}
	return names, by
}

// table has a line for each family: ratios, times, and whether all found the
// same.
func (r *report) table(b *strings.Builder) {
	b.WriteString("| searches | times PostgreSQL, goal ≥ 3 (without total) | times SQLite | heirpress p50 / p95 / p99 / max ms, a second | goal p99 | PostgreSQL p50 / p99 ms | SQLite p50 / p99 ms | processor ms a search: heirpress; PostgreSQL; SQLite | same as PostgreSQL; SQLite | found |\n")
	b.WriteString("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n")
	names, by := r.names()
	for _, name := range names {
		ours := r.results[ourName][name]
		if ours == nil {
			continue
		}
		pg, bare, lite := r.results[pgName][name], r.results[bareName][name], r.results[liteName][name]
		fmt.Fprintf(b, "| %s | %s (%s) | %s | %s | %s | %s | %s | %s; %s; %s | %s; %s | %d |\n", name,
			ahead(ours, pg), ratio(ours, bare), ratio(ours, lite), full(ours), goal(ours, by[name]), brief(pg), brief(lite),
			each(ours), each(pg), each(lite),
			same(ours, pg, by[name]), same(ours, lite, by[name]), ours.found)
	}
}

// ratio is how many times as many searches a second the first does.
func ratio(ours, theirs *measured) string {
	if theirs == nil || ours.err != nil || theirs.err != nil || theirs.figures.perSecond == 0 {
		return "–"
	}
	return timesOver(ours.figures.perSecond / theirs.figures.perSecond)
}

// leastAhead is how many times PostgreSQL's searches a second are the goal.
const leastAhead = 3

// ahead is the ratio, and whether it is what it should be.
func ahead(ours, theirs *measured) string {
	r := ratio(ours, theirs)
	switch {
	case r == "–":
		return r
	case ours.figures.perSecond >= leastAhead*theirs.figures.perSecond:
		return r + ": met"
	}
	return r + ": missed"
}

// timesOver is how many times, to two figures or so.
func timesOver(n float64) string {
	if n >= 10 {
		return fmt.Sprintf("%.0f×", n)
	}
	return fmt.Sprintf("%.2g×", n)
}

func full(m *measured) string {
	if m.err != nil {
		return "error"
	}
	f := m.figures
	return fmt.Sprintf("%s / %s / %s / %s, %.0f", ms(f.p50), ms(f.p95), ms(f.p99), ms(f.max), f.perSecond)
}

func brief(m *measured) string {
	switch {
	case m == nil:
		return "–"
	case m.err != nil:
		return "error"
	}
	return ms(m.figures.p50) + " / " + ms(m.figures.p99)
}

func each(m *measured) string {
	if m == nil || m.err != nil {
		return "–"
	}
	return ms(m.each)
}

func goal(ours *measured, f family) string {
	switch {
	case f.goal == 0:
		return "–"
	case ours.err == nil && ours.figures.p99.Seconds()*1_000 <= f.goal:
		return fmt.Sprintf("≤ %g: met", f.goal)
	}
	return fmt.Sprintf("≤ %g: missed", f.goal)
}

func same(ours, theirs *measured, f family) string {
	if theirs == nil || ours.err != nil || theirs.err != nil {
		return "–"
	}
	return compare(ours.answers, theirs.answers, f.alike).String()
}

// ms is a time in milliseconds, to two figures or so.
func ms(d time.Duration) string {
	n := d.Seconds() * 1_000
	switch {
	case n >= 100:
		return fmt.Sprintf("%.0f", n)
	case n >= 10:
		return fmt.Sprintf("%.1f", n)
	}
	return fmt.Sprintf("%.2f", n)
}

// notes says what the table does not: errors and differences.
func (r *report) notes(b *strings.Builder) {
	b.WriteString("\nRatios are of searches a second. Ranked answers are the same where as many lots are found; each ranks in its own way. The nearest are the same where each hit is as far off by road, the newest hit by hit, and facets count by count. Slips count as the same where both took the same word and found as many. Processor time is the engine's, on all processors; SQLite's has the asking in it, and while posting all have the posting in it.\n")
	fmt.Fprintf(b, "\nSQL knows no roads: near a town the others are asked for straight lines, and for %g times less far. The lots they hold, and our roads to those lots' towns, make the answer that is compared, of up to %d searches a family.\n", usualDetour, roadChecks)
	names, by := r.names()
	for _, name := range names {
		for _, engine := range []string{ourName, pgName, bareName, liteName} {
			m := r.results[engine][name]
			if m == nil {
				continue
			}
			if m.err != nil {
				fmt.Fprintf(b, "- %s: %v\n", engine, m.err)
			} else if ours := r.results[ourName][name]; (engine == pgName || engine == liteName) && ours.err == nil {
				if v := compare(ours.answers, m.answers, by[name].alike); v.first != "" {
					fmt.Fprintf(b, "- %s, %s: heirpress and %s differ: %s\n", engine, name, engine, v.first)
				}
			}
		}
	}
}

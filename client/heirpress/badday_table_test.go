//go:build unix

package main

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// outcome is what came of a fault.
type outcome struct {
	lostWrites, lostAlerts, doubled int
	recovery                        time.Duration
}

// dayTable is the table of faults and what came of them.
type dayTable struct {
	order []string
	of    map[string][]outcome
	not   map[string]string // faults that cannot be made here, and why
}

func newDayTable() *dayTable { return &dayTable{of: map[string][]outcome{}, not: map[string]string{}} }

func (o *dayTable) add(fault string, what outcome) {
	o.name(fault)
	o.of[fault] = append(o.of[fault], what)
}

func (o *dayTable) cannot(fault, why string) {
	o.name(fault)
	o.not[fault] = why
}

func (o *dayTable) name(fault string) {
	if !slices.Contains(o.order, fault) {
		o.order = append(o.order, fault)
	}
}

// String is the table, as text.
func (o *dayTable) String() string {
	var t strings.Builder
	fmt.Fprintf(&t, "%-52s %5s %6s %6s %7s %9s %9s\n", "", "", "writes", "alerts", "alerts", "goes on", "after")
	fmt.Fprintf(&t, "%-52s %5s %6s %6s %7s %9s %9s\n", "fault", "times", "lost", "lost", "doubled", "median", "longest")
	for _, name := range o.order {
		all := o.of[name]
		if len(all) == 0 {
			fmt.Fprintf(&t, "%-52s not made here: %s\n", name, o.not[name])
			continue
		}
		var sum outcome
		var times []time.Duration
		for _, one := range all {
			sum.lostWrites += one.lostWrites
			sum.lostAlerts += one.lostAlerts
			sum.doubled += one.doubled
			times = append(times, one.recovery.Round(time.Millisecond))
		}
		slices.Sort(times)
		fmt.Fprintf(&t, "%-52s %5d %6d %6d %7d %9v %9v\n", name, len(all), sum.lostWrites, sum.lostAlerts, sum.doubled, times[len(times)/2], times[len(times)-1])
	}
	return t.String()
}

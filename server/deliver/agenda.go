package deliver

import (
	"container/heap"
	"time"
)

// An agenda is what has to be looked at when, each name once.
type agenda struct {
	items []*item // a heap, the earliest first
	of    map[string]*item
}

type item struct {
	name  string
	group string // what it belongs to
	at    time.Time
	place int // in the heap
}

func newAgenda() *agenda { return &agenda{of: map[string]*item{}} }

// set puts a name down for a time, in place of the one it was down for.
func (a *agenda) set(name, group string, at time.Time) {
	if one := a.of[name]; one != nil {
		one.at = at
		heap.Fix(order{a}, one.place)
		return
	}
	one := &item{name: name, group: group, at: at}
	a.of[name] = one
	heap.Push(order{a}, one)
}

func (a *agenda) drop(name string) {
	if one := a.of[name]; one != nil {
		heap.Remove(order{a}, one.place)
		delete(a.of, name)
	}
}

// take takes out a name whose time has come.
func (a *agenda) take(now time.Time) (name, group string, ok bool) {
	if len(a.items) == 0 || a.items[0].at.After(now) {
		return "", "", false
	}
	one := a.items[0]
	a.drop(one.name)
	return one.name, one.group, true
}

// next is when the next name's time comes; zero if there is none.
func (a *agenda) next() time.Time {
	if len(a.items) == 0 {
		return time.Time{}
	}
	return a.items[0].at
}

// order is an agenda as a heap.
type order struct{ *agenda }

func (o order) Len() int           { return len(o.items) }
func (o order) Less(i, j int) bool { return o.items[i].at.Before(o.items[j].at) }

func (o order) Swap(i, j int) {
	o.items[i], o.items[j] = o.items[j], o.items[i]
	o.items[i].place, o.items[j].place = i, j
}

func (o order) Push(x any) {
	one := x.(*item)
	one.place = len(o.items)
	o.items = append(o.items, one)
}

func (o order) Pop() any {
	last := o.items[len(o.items)-1]
	o.items[len(o.items)-1] = nil
	o.items = o.items[:len(o.items)-1]
	return last
}

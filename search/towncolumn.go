package search

import "sync"

// townColumn tells which town each document of a segment stands in, by the town's
// number, and which documents stand in a town.
type townColumn struct {
	of []uint32

	once sync.Once
	// docs are all documents town by town; those of a town begin at its start.
	docs, start []uint32
}

// in is the documents that stand in a town, in order.
func (c *townColumn) in(town uint32) []uint32 {
	c.once.Do(c.gather)
	if int(town)+1 >= len(c.start) {
		return nil
	}
	return c.docs[c.start[town]:c.start[town+1]]
}

// gather sorts the documents by their towns, by counting.
func (c *townColumn) gather() {
	var last uint32
	for _, town := range c.of {
		last = max(last, town)
	}
	c.docs, c.start = make([]uint32, len(c.of)), make([]uint32, last+2)
	for _, town := range c.of {
		c.start[town+1]++
	}
	for town := range last + 1 {
		c.start[town+1] += c.start[town]
	}
	next := append([]uint32(nil), c.start...)
	for doc, town := range c.of {
		c.docs[next[town]] = uint32(doc)
		next[town]++
	}
}

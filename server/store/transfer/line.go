// Package transfer carries a registry from one store to another, whichever engine
// each has, as JSON Lines.
//
// What is carried is the journal, entry by entry, with its numbers and times, and
// after it the cursors of the followers and the remembered answers. So revisions,
// etags, tokens and names are good in the new place, an alert that was made is not
// made again, and a request that was answered is not done again.
//
// The first line says what the file is; the last that it is whole:
//
//	{"registry":1,"change":3}
//	{"op":"create","change":1,"time":"2027-02-28T09:30:00.000001Z","record":{"name":"shops/a","collection":"shops","created":1,"body":"CgdzaG9wcy9h"}}
//	…
//	{"cursor":"alerts","change":3}
//	{"answer":"CreateShopRequest/1","fingerprint":"…","body":"…","change":1}
//	{"end":true}
//
// Bodies are messages of the contract in protobuf's wire form, in base64: byte for
// byte what the store has.
package transfer

import (
	"fmt"
	"time"

	"heirpress/server/store"
)

// format is the version of the file's form.
const format = 1

// line is a line of a file. Which of its first fields is set says of what kind.
type line struct {
	Registry int        `json:"registry,omitempty"`
	Op       string     `json:"op,omitempty"`
	Cursor   string     `json:"cursor,omitempty"`
	Answer   string     `json:"answer,omitempty"`
	End      bool       `json:"end,omitempty"`
	Change   uint64     `json:"change,omitempty"`
	Time     *time.Time `json:"time,omitempty"`
	Record   *record    `json:"record,omitempty"`

	Fingerprint []byte `json:"fingerprint,omitempty"`
	Body        []byte `json:"body,omitempty"`
}

type record struct {
	Name       string `json:"name"`
	Collection string `json:"collection"`
	Parent     string `json:"parent,omitempty"`
	Key        string `json:"key,omitempty"`
	Open       bool   `json:"open,omitempty"`
	Created    uint64 `json:"created"`
	Body       []byte `json:"body,omitempty"`
}

var ops = map[store.Op]string{store.OpCreate: "create", store.OpUpdate: "update", store.OpDelete: "delete"}

func changeLine(c store.Change) line {
	r := c.Record
	return line{Change: c.Number, Time: &c.Time, Op: ops[c.Op], Record: &record{
		Name: r.Name, Collection: string(r.Collection), Parent: r.Parent, Key: r.Key, Open: r.Open, Created: r.Created, Body: r.Body,
	}}
}

// toChange reads the entry that a line tells of.
func (l line) toChange() (store.Change, error) {
	if l.Time == nil || l.Record == nil {
		return store.Change{}, fmt.Errorf("it tells of change %d without its time or its record", l.Change)
	}
	c := store.Change{Number: l.Change, Time: l.Time.UTC(), Record: store.Record{
		Name: l.Record.Name, Collection: store.Collection(l.Record.Collection), Parent: l.Record.Parent, Key: l.Record.Key,
		Open: l.Record.Open, Body: l.Record.Body, Created: l.Record.Created, Revision: l.Change,
	}}
	for op, name := range ops {
		if name == l.Op {
			c.Op = op
			return c, nil
		}
	}
	return c, fmt.Errorf("its op is %q: it must be create, update or delete", l.Op)
}

// Package record reads the contract's resources out of the store's records and
// writes them back: the one place that knows how a message lies in a record.
//
// What only the store can know (revision, etag, the change number of a step) is
// not in the body and is filled in on reading.
package record

import (
	"fmt"
	"strconv"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/store"
)

// Body is a message as a record keeps it: the same message always gives the
// same bytes.
func Body(m proto.Message) ([]byte, error) {
	return proto.MarshalOptions{Deterministic: true}.Marshal(m)
}

// Etag is the etag of a resource at a revision.
func Etag(revision uint64) string { return strconv.FormatUint(revision, 36) }

// Shop reads a shop. Its count of lots is not in the record.
func Shop(r store.Record) (*pb.Shop, error) {
	s := new(pb.Shop)
	if err := decode(r, s); err != nil {
		return nil, err
	}
	s.Revision, s.Etag = r.Revision, Etag(r.Revision)
	return s, nil
}

// WantedList reads a wanted list.
func WantedList(r store.Record) (*pb.WantedList, error) {
	l := new(pb.WantedList)
	if err := decode(r, l); err != nil {
		return nil, err
	}
	l.Revision, l.Etag = r.Revision, Etag(r.Revision)
	return l, nil
}

// Lot reads a lot. A step of its history is written before its change number is
// known, and so without one. The number is then the record's revision: every
// later write starts from what Lot has read, and keeps the number.
func Lot(r store.Record) (*pb.Lot, error) {
	l := new(pb.Lot)
	if err := decode(r, l); err != nil {
		return nil, err
	}
	l.Revision, l.Etag = r.Revision, Etag(r.Revision)
	for _, step := range l.GetHistory() {
		if step.GetChange() == 0 {
			step.Change = r.Revision
		}
	}
	return l, nil
}

// Alert reads an alert.
func Alert(r store.Record) (*pb.Alert, error) {
	a := new(pb.Alert)
	if err := decode(r, a); err != nil {
		return nil, err
	}
	return a, nil
}

// Notice reads a notice to a keeper.
func Notice(r store.Record) (*pb.Notice, error) {
	n := new(pb.Notice)
	if err := decode(r, n); err != nil {
		return nil, err
	}
	return n, nil
}

// Photo reads a photo.
func Photo(r store.Record) (*pb.Photo, error) {
	p := new(pb.Photo)
	if err := decode(r, p); err != nil {
		return nil, err
	}
	return p, nil
}

// decode reads what the contract knows; who wrote it is not in a message.
func decode(r store.Record, into proto.Message) error {
	if err := (proto.UnmarshalOptions{DiscardUnknown: true}).Unmarshal(r.Body, into); err != nil {
		return fmt.Errorf("record %s at change %d cannot be read: %w", r.Name, r.Revision, err)
	}
	return nil
}

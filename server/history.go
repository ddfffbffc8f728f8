package server

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"strings"
	"unicode/utf8"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/access"
	"heirpress/server/record"
	"heirpress/server/store"
)

type historyService struct {
	pb.UnimplementedHistoryServiceServer
	*Registry
}

func (s *historyService) ListHistory(ctx context.Context, req *pb.ListHistoryRequest) (*pb.ListHistoryResponse, error) {
	asked := &pb.ListHistoryRequest{Name: req.GetName()}
	listing, err := s.listing(ctx, store.Lots, asked, req)
	if err != nil {
		return nil, err
	}
	read, err := s.mayHistory(ctx, req.GetName())
	if err != nil {
		return nil, err
	}
	// One more than is told: the last one told is held against it.
	entries, err := s.store.History(ctx, req.GetName(), listing.After, listing.Limit+1)
	if err != nil {
		return nil, err
	}
	answer := new(pb.ListHistoryResponse)
	for i, e := range entries[:min(len(entries), listing.Limit)] {
		told, err := s.listingChange(ctx, e, entries[i+1:], read)
		if err != nil {
			return nil, err
		}
		answer.Changes = append(answer.Changes, told)
	}
	if len(entries) > listing.Limit {
		answer.NextPageToken = s.nextPage(ctx, asked, entries[listing.Limit-1].Number)
	}
	return answer, nil
}

// mayHistory refuses whose business a listing is not, and is how to read it.
func (s *historyService) mayHistory(ctx context.Context, name string) (func(store.Record) (proto.Message, error), error) {
	if strings.Contains(name, "/lots/") {
		lot, err := lotOf(ctx, s.store, name)
		if err != nil {
			return nil, err
		}
		return func(r store.Record) (proto.Message, error) { return record.Lot(r) }, s.may(ctx, s.store, theLot(lot))
	}
	if _, err := recordOf(ctx, s.store, store.Shops, name); err != nil {
		return nil, err
	}
	return func(r store.Record) (proto.Message, error) { return record.Shop(r) }, s.may(ctx, s.store, theShop(ctx, s.store, name))
}

// listingChange is an entry of the journal as it is told: what is unlike in it from
// the one before.
func (s *historyService) listingChange(ctx context.Context, e store.Change, before []store.Change, read func(store.Record) (proto.Message, error)) (*pb.ListingChange, error) {
	told := &pb.ListingChange{Change: e.Number, Time: timestamppb.New(e.Time), Author: record.Author(e.Record), Created: e.Op == store.OpCreate}
	var err error
	if told.AuthorName, err = authorName(ctx, s.store, told.GetAuthor()); err != nil {
		return nil, err
	}
	after, err := read(e.Record)
	if err != nil {
		return nil, err
	}
	was := after.ProtoReflect().New().Interface()
	if len(before) > 0 {
		if was, err = read(before[0].Record); err != nil {
			return nil, err
		}
	}
	told.Fields = fieldChanges(was.ProtoReflect(), after.ProtoReflect())
	return told, nil
}

// authorName is how an account is called; for a code, the account that made it.
func authorName(ctx context.Context, from store.Reader, author string) (string, error) {
	if author == "" {
		return "", nil
	}
	if strings.HasPrefix(author, "proofCodes/") {
		maker, err := access.ProofCodeMaker(ctx, from, author)
		if err != nil {
			return "", err
		}
		author = maker
	}
	a, err := access.AccountNamed(ctx, from, author)
	if errors.Is(err, store.ErrNotFound) {
		return "", nil
	}
	return a.GetDisplayName(), err
}

// notListed are the fields of a shop or lot that say nothing of it.
var notListed = map[protoreflect.Name]bool{
	"name": true, "history": true, "lot_count": true, "create_time": true, "update_time": true, "revision": true, "etag": true,
}

// fieldChanges are the fields in which two messages of a type are unlike.
func fieldChanges(was, is protoreflect.Message) (all []*pb.FieldChange) {
	fields := is.Descriptor().Fields()
	for i := range fields.Len() {
		f := fields.Get(i)
		if before, after := fieldText(was, f), fieldText(is, f); before != after && !notListed[f.Name()] {
			all = append(all, &pb.FieldChange{Field: string(f.Name()), Before: shortened(before), After: shortened(after)})
		}
	}
	return all
}

// fieldText is what a field says, as text: a text as it is, anything else in the
// contract's JSON mapping. Nothing is said by a field that is not there.
func fieldText(m protoreflect.Message, f protoreflect.FieldDescriptor) string {
	if !m.Has(f) {
		return ""
	}
	switch {
	case f.Kind() == protoreflect.StringKind && !f.IsList():
		return m.Get(f).String()
	case f.Kind() == protoreflect.MessageKind && !f.IsList():
		return jsonText(m.Get(f).Message().Interface())
	}
	alone := m.New()
	alone.Set(f, m.Get(f))
	text := jsonText(alone.Interface())
	_, text, _ = strings.Cut(text, ":")
	return strings.Trim(strings.TrimSuffix(text, "}"), `" `)
}

// jsonText is a message in its JSON mapping, without the spaces that the library
// varies.
func jsonText(m proto.Message) string {
	raw, err := protojson.Marshal(m)
	if err != nil {
		return ""
	}
	var line bytes.Buffer
	if json.Compact(&line, raw) != nil {
		return ""
	}
	return line.String()
}

const longestChange = 500 // characters

func shortened(text string) string {
	if utf8.RuneCountInString(text) <= longestChange {
		return text
	}
	return string([]rune(text)[:longestChange-1]) + "…"
}

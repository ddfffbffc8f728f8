package client

import (
	"encoding/json"
	"fmt"
	"path/filepath"

	"go.etcd.io/bbolt"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
)

// CarryNotes remember, beside a registry of one's own, what of it was carried to
// which server: what each shop and lot is called there, and what it said when
// both sides last agreed. Without them a carry cannot tell who has changed what.
type CarryNotes struct{ db *bbolt.DB }

// OpenCarryNotes opens the notes in the data folder of a registry of one's own;
// empty for DataDir.
func OpenCarryNotes(dir string) (*CarryNotes, error) {
	dir, err := folder(dir)
	if err != nil {
		return nil, err
	}
	path := filepath.Join(dir, "carried.db")
	db, err := bbolt.Open(path, 0o600, &bbolt.Options{Timeout: usualWait})
	if err != nil {
		return nil, fmt.Errorf("%s, where is noted what was carried, cannot be opened: %w; without it a carry compares what the server has with what is here", path, err)
	}
	return &CarryNotes{db}, nil
}

// Close closes the notes.
func (n *CarryNotes) Close() error { return n.db.Close() }

// shopNotes are the notes of a shop and a server.
type shopNotes struct {
	db           *bbolt.DB
	server, shop string
}

func (n *CarryNotes) of(server, shop string) *shopNotes { return &shopNotes{n.db, server, shop} }

// note is what is remembered of a shop or a lot.
type note struct {
	// There is its name on the server.
	There string `json:"there"`
	// Base is what both sides said when they last agreed.
	Base json.RawMessage `json:"base"`
	// Stood is what the server said then, where that was let stand though it is
	// not what was said here.
	Stood json.RawMessage `json:"stood,omitempty"`
	// Sent is what the server was last asked to make of it, if the answer to that
	// has not been noted.
	Sent json.RawMessage `json:"sent,omitempty"`
	// Steps is how many of a lot's steps from state to state were carried.
	Steps int `json:"steps,omitempty"`
}

// pending is a request of which the answer has not been noted.
type pending struct {
	Shop json.RawMessage `json:"shop,omitempty"` // of a CreateShopRequest
	Lots json.RawMessage `json:"lots,omitempty"` // of a BatchCreateLotsRequest
	From []string        `json:"from,omitempty"` // the names here of those lots
}

const (
	shopKey    = "shop"
	pendingKey = "pending"
)

func (n *shopNotes) get(key string, into any) (found bool, err error) {
	err = n.db.View(func(tx *bbolt.Tx) error {
		server := tx.Bucket([]byte(n.server))
		if server == nil {
			return nil
		}
		shop := server.Bucket([]byte(n.shop))
		if shop == nil {
			return nil
		}
		raw := shop.Get([]byte(key))
		found = raw != nil
		if !found {
			return nil
		}
		return json.Unmarshal(raw, into)
	})
	return found, err
}

// put writes notes, all or none; a nil value takes one away.
func (n *shopNotes) put(values map[string]any) error {
	return n.db.Update(func(tx *bbolt.Tx) error {
		server, err := tx.CreateBucketIfNotExists([]byte(n.server))
		if err != nil {
			return err
		}
		shop, err := server.CreateBucketIfNotExists([]byte(n.shop))
		if err != nil {
			return err
		}
		for key, v := range values {
			if v == nil {
				if err := shop.Delete([]byte(key)); err != nil {
					return err
				}
				continue
			}
			raw, err := json.Marshal(v)
			if err != nil {
				return err
			}
			if err := shop.Put([]byte(key), raw); err != nil {
				return err
			}
		}
		return nil
	})
}

// rawOf is a message as notes keep it.
func rawOf(m proto.Message) json.RawMessage {
	raw, err := protojson.Marshal(m)
	if err != nil { // only for text that is not UTF-8, which no registry keeps
		return json.RawMessage("{}")
	}
	return raw
}

// readNote is a message that notes keep.
func readNote[M proto.Message](raw json.RawMessage) (m M, err error) {
	m = m.ProtoReflect().New().Interface().(M)
	return m, protojson.UnmarshalOptions{DiscardUnknown: true}.Unmarshal(raw, m)
}

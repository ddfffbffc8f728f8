// Package store is the system of record: every shop, lot, wanted list and alert,
// and the journal of every change to them.
//
// What it promises, whatever the engine beneath:
//
//   - Write is all or nothing, and when it returns without an error its effect
//     survives the loss of power.
//   - Records and the journal entries that tell of them are written in the same
//     transaction: there is never one without the other.
//   - Every record written gets a change number of its own. Change numbers only
//     grow, in commit order: a reader that has read the journal up to N will
//     never be shown a new entry at or below N.
//   - Cursors and remembered answers move in the transaction that carries their
//     effect, so what follows the journal neither loses nor repeats a step.
//
// The store knows nothing of what is in a record: bodies are bytes, and what
// makes a valid lot is the business of the server.
package store

import (
	"context"
	"time"
)

// Collection is a set of records of one type.
type Collection string

// The collections of a registry.
const (
	Shops       Collection = "shops"
	Lots        Collection = "lots"
	WantedLists Collection = "wantedLists"
	Alerts      Collection = "alerts"
	// Deliveries are where and when alerts are sent: one for a wanted list, which
	// is private.
	Deliveries Collection = "deliveries"
	// Outbox are alerts due on a channel, open while they wait.
	Outbox Collection = "outbox"
	// Dispatches are e-mails and webhooks, open while they are to be sent.
	Dispatches Collection = "dispatches"
	// DeadLetters are the dispatches that were given up, for the operator.
	DeadLetters Collection = "deadLetters"
	// EmailTimes are when a wanted list had e-mails.
	EmailTimes Collection = "emailTimes"
	Notices    Collection = "notices"
	// Photos are of a lot or shop, listed under it; their bytes are in a blob store.
	Photos Collection = "photos"
	// Accounts are who may call the registry. This and the rest are private: no
	// index follows them, and no answer tells of them to a stranger.
	Accounts Collection = "accounts"
	// Tokens are the ways into an account, by a hash of their secrets.
	Tokens Collection = "tokens"
	// Invitations are codes to open an account with, by a hash, open until used.
	Invitations Collection = "invitations"
	// Ties say who has a shop or a wanted list, or speaks for it, listed under it.
	Ties Collection = "ties"
	// AccountTies are the same, listed under the account.
	AccountTies Collection = "accountTies"
	// Delegations are keepers' words that an account speaks for their shop, open
	// while they stand.
	Delegations Collection = "delegations"
	// AuditEntries are what was done that matters to security; they are only added.
	AuditEntries Collection = "auditEntries"
	// PrivatePlaces are where shops and people really are, sealed.
	PrivatePlaces Collection = "privatePlaces"
	// ProofCodes are codes with which a keeper passes a proof, by a hash, open until
	// used.
	ProofCodes Collection = "proofCodes"
	// Corrections are what keepers want changed in a proof, open until it is passed.
	Corrections Collection = "corrections"
	// Introductions are listed under their lot, open until they are answered for
	// good; their key is the account that asks.
	Introductions Collection = "introductions"
	// ShopIntroductions and AccountIntroductions name the same, listed under the
	// shop and under the account that asks.
	ShopIntroductions    Collection = "shopIntroductions"
	AccountIntroductions Collection = "accountIntroductions"
	// Blocks keep an account and a shop apart.
	Blocks Collection = "blocks"
	// Rehomings are listed under the account that has given a lot a home.
	Rehomings Collection = "rehomings"
	// Reports are for the operator, open until they are put away.
	Reports Collection = "reports"
	// DayTimes are when an account did what it may do only so often a day.
	DayTimes Collection = "dayTimes"
)

// Record is one resource as it stands.
type Record struct {
	// Name is the resource name, unique across the store: "shops/a/lots/b".
	Name string
	// Collection is the set it belongs to.
	Collection Collection
	// Parent is the resource name it is listed under; empty at the top.
	Parent string
	// Key is unique among the records of one collection and parent: a tag or
	// title that the caller has folded. Empty: no such key.
	Key string
	// Open marks a record that still wants attention, as an alert that nobody
	// has acknowledged. List can ask for open records only.
	Open bool
	// Body is the resource, as the contract's message in protobuf's wire form.
	Body []byte

	// Given by the store from here on; ignored by Create and Update.

	// Created is the change number of its first write; lists are in its order.
	Created uint64
	// Revision is the change number of its last write.
	Revision uint64
}

// Op is what a change did.
type Op uint8

// What a change can do to a record.
const (
	OpCreate Op = 1
	OpUpdate Op = 2
	OpDelete Op = 3
)

// Change is one entry of the journal, kept for good; Erase may take out its body.
type Change struct {
	// Number is the change number, from 1.
	Number uint64
	// Time is when it was written, to the microsecond, in UTC.
	Time time.Time
	// Op is what was done.
	Op Op
	// Record is the record as this change left it; for OpDelete, as it last was.
	// Its Revision is Number.
	Record Record
}

// Answer is what was answered to a request that carried a request_id.
type Answer struct {
	// ID is the request_id, made unique by its method and its caller.
	ID string
	// Fingerprint tells whether a repeat is the same request.
	Fingerprint []byte
	// Body is the answer given, in wire form.
	Body []byte
	// Change is the change number that was answered.
	Change uint64
}

// Listing says which records of a collection are listed, and from where.
type Listing struct {
	// Collection is the set to list. Required.
	Collection Collection
	// Parent keeps those listed under it; empty with AnyParent false means the
	// records at the top.
	Parent string
	// AnyParent lists the whole collection, whatever the parent.
	AnyParent bool
	// OpenOnly keeps the open ones.
	OpenOnly bool
	// After keeps those created after this change number.
	After uint64
	// Limit is the most to return; 0 or less means 1,000. To read on, list After
	// the Created of the last one: writes in between neither repeat nor skip any.
	Limit int
}

// DefaultLimit is the Limit of a Listing, and of Changes, that give none.
const DefaultLimit = 1000

// Reader reads what has been committed. Inside Write it also sees what the
// transaction has done so far. Each call answers from one moment: it never sees
// part of a transaction. What it returns is the caller's to change.
//
// Every method, here and on Tx and Store, returns ctx's error if ctx is done
// before it begins, and may if it ends meanwhile.
type Reader interface {
	// Get returns a record by name, or ErrNotFound.
	Get(ctx context.Context, name string) (Record, error)
	// GetMany returns the records of those names that exist, each once, in no
	// set order.
	GetMany(ctx context.Context, names []string) ([]Record, error)
	// Find returns the record with a key, or ErrNotFound; no record has the key "".
	Find(ctx context.Context, c Collection, parent, key string) (Record, error)
	// List returns records in the order they were created.
	List(ctx context.Context, l Listing) ([]Record, error)
	// Count tells how many records of a collection are listed under a parent.
	Count(ctx context.Context, c Collection, parent string) (int, error)
	// Changes returns journal entries after a change number, in order, at most
	// limit of them (0 or less means 1,000), of the collections named, or of all.
	Changes(ctx context.Context, after uint64, limit int, of ...Collection) ([]Change, error)
	// History returns the journal entries of one record with a change number
	// below before (0 means all), the latest first, at most limit of them (0 or
	// less means 1,000). A record that never was has none; one made anew under an
	// old name has that name's history. An index serves it.
	History(ctx context.Context, name string, before uint64, limit int) ([]Change, error)
	// Head is the change number of the last entry, 0 for an empty journal.
	Head(ctx context.Context) (uint64, error)
	// Cursor is how far a follower has come; 0 for one that never moved.
	Cursor(ctx context.Context, follower string) (uint64, error)
	// Recall returns the answer remembered under a request ID, or ErrNotFound.
	Recall(ctx context.Context, id string) (Answer, error)
}

// Tx is a transaction under way. It is for one goroutine, and is over when the
// function it was given to returns: after that every method that can fail returns
// ErrOver.
//
// Besides the errors named below, Create, Update and Remember return
// *InvalidError for what Check refuses. After any of these the transaction can
// go on. After any other error it cannot: the rest of it fails, and so does
// Write, whatever the function returns.
type Tx interface {
	Reader
	// Now is the time of this transaction: the Time of all its changes.
	Now() time.Time
	// Create writes a new record and its journal entry, and returns it with its
	// change numbers. It returns *ExistsError if the name, or else the key under
	// that parent, is taken.
	Create(ctx context.Context, r Record) (Record, error)
	// Update replaces Key, Open and Body of the record of that name, writes its
	// journal entry, and returns the whole record. It returns ErrNotFound, or
	// *ExistsError for the key.
	Update(ctx context.Context, r Record) (Record, error)
	// Delete removes a record and writes its journal entry, or ErrNotFound.
	// It returns the change number of that entry.
	Delete(ctx context.Context, name string) (uint64, error)
	// Erase takes the bodies out of the journal entries of a record, but for the one
	// it stands as; of a record that is no more, out of all. It is for what must not
	// be kept longer than it is in use. The entries themselves stay, and the
	// journal still leads to the records. It returns how many bodies it took out,
	// and writes no entry of its own.
	Erase(ctx context.Context, name string) (int, error)
	// MoveCursor sets how far a follower has come, forward or back, but not
	// beyond Head: that is an *InvalidError.
	MoveCursor(ctx context.Context, follower string, to uint64) error
	// Remember keeps an answer under its ID, which must be new: Recall it first,
	// in this transaction. A second answer under one ID is an *InvalidError.
	Remember(ctx context.Context, a Answer) error
}

// Movable is a Store that can be carried to another place as it is: with its
// journal, and so with all change numbers, revisions and etags, its cursors and
// its answers.
type Movable interface {
	Store
	// Cursors tells how far every follower has come that ever moved.
	Cursors(ctx context.Context) (map[string]uint64, error)
	// Answers returns remembered answers in the order of their IDs, byte by byte,
	// after one ID, at most limit of them (0 or less means 1,000).
	Answers(ctx context.Context, after string, limit int) ([]Answer, error)
	// Replay writes entries of another store's journal as they are, with their
	// numbers and times, all or nothing. They must continue the journal of this
	// store; *InvalidError says where they do not.
	Replay(ctx context.Context, changes []Change) error
}

// Store is a registry's system of record. Its methods may be called from many
// goroutines at once. If the store is shared with others over a network, any of
// them may return *UnavailableError.
type Store interface {
	Reader
	// Write runs do in a transaction and commits it, or, if do returns an error,
	// leaves everything as it was and returns that error unchanged. Transactions
	// follow one another: what do reads stays true until it commits. do may be
	// run again if an engine has to retry, so it must have no other effect. It
	// must not call Write or Forget, which would wait for themselves. A panic in
	// do leaves everything as it was too, and goes on.
	//
	// The change numbers of a store are 1, 2, 3 and so on, without a gap, and
	// their times never run backwards, even if the clock does.
	Write(ctx context.Context, do func(Tx) error) error
	// Wait returns when the journal's head is beyond after, or with ctx's error,
	// or with ErrClosed. A change by another process is noticed within a second.
	Wait(ctx context.Context, after uint64) error
	// Forget drops remembered answers given before a time; it returns how many.
	Forget(ctx context.Context, before time.Time) (int, error)
	// Close waits for the calls under way and releases the store. Calls after it
	// return ErrClosed, except Close, which does nothing.
	Close() error
}

package storetest

import (
	"context"
	"errors"
	"fmt"
	"os"
	"testing"
	"time"

	"pgregory.net/rapid"

	"heirpress/server/store"
)

// Reopen opens the store kept in a folder, making it if there is none, that tells
// the time by clock.
type Reopen func(folder string, clock func() time.Time) (store.Store, error)

// Compare plays the same random operations on a model and on an engine and fails
// if any answer, or any kind of error, differs. Now and then it closes the engine
// and opens it again; the model it keeps.
func Compare(t *testing.T, model func(clock func() time.Time) store.Store, engine Reopen) {
	rapid.Check(t, func(t *rapid.T) {
		folder, err := os.MkdirTemp("", "store")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(folder)
		p := &play{ctx: t.Context(), now: time.Date(2031, 5, 4, 12, 0, 0, 0, time.UTC)}
		clock := func() time.Time { return p.now }
		p.model = model(clock)
		if p.engine, err = engine(folder, clock); err != nil {
			t.Fatal(err)
		}
		defer func() { p.engine.Close() }()
		t.Repeat(map[string]func(*rapid.T){
			"write":  p.write,
			"read":   func(t *rapid.T) { p.same(t, drawRead(t)) },
			"forget": p.forget,
			"clock":  p.setClock,
			"reopen": func(t *rapid.T) { p.reopen(t, folder, engine, clock) },
			"":       func(t *rapid.T) { p.same(t, readAll) },
		})
		if err := Check(p.ctx, p.engine); err != nil {
			t.Error(err)
		}
	})
}

// play is one game of Compare.
type play struct {
	ctx           context.Context
	now           time.Time
	model, engine store.Store
}

// step is an operation inside a transaction; it returns what was answered.
type step func(context.Context, store.Tx) (string, error)

// question is an operation of a Reader; it returns what was answered.
type question func(context.Context, store.Reader) (string, error)

// write plays a transaction of several steps, which may end in an error.
func (p *play) write(t *rapid.T) {
	steps := rapid.SliceOfN(rapid.Custom(drawStep), 1, 6).Draw(t, "steps")
	var end error
	if rapid.IntRange(0, 4).Draw(t, "refused") == 0 {
		end = errRefused
	}
	both(t, p, func(s store.Store) (answers string, err error) {
		err = s.Write(p.ctx, func(tx store.Tx) error {
			answers = tx.Now().String()
			for _, do := range steps {
				answer, err := do(p.ctx, tx)
				answers += "\n" + answer + " " + kind(err)
			}
			return end
		})
		return answers, err
	})
}

func (p *play) same(t *rapid.T, ask question) {
	both(t, p, func(s store.Store) (string, error) { return ask(p.ctx, s) })
}

func (p *play) forget(t *rapid.T) {
	before := p.now.Add(time.Duration(rapid.IntRange(-3, 3).Draw(t, "hours")) * time.Hour)
	both(t, p, func(s store.Store) (string, error) {
		n, err := s.Forget(p.ctx, before)
		return fmt.Sprint(n), err
	})
}

// setClock moves the clock, back as well as forward.
func (p *play) setClock(t *rapid.T) {
	p.now = p.now.Add(time.Duration(rapid.IntRange(-2, 4).Draw(t, "hours")) * time.Hour)
}

func (p *play) reopen(t *rapid.T, folder string, engine Reopen, clock func() time.Time) {
	if err := p.engine.Close(); err != nil {
		t.Fatal(err)
	}
	var err error
	if p.engine, err = engine(folder, clock); err != nil {
		t.Fatal(err)
	}
}

// both does the same on the two stores and compares how it went.
func both(t *rapid.T, p *play, do func(store.Store) (string, error)) {
	want, wantErr := do(p.model)
	got, gotErr := do(p.engine)
	if got != want || kind(gotErr) != kind(wantErr) {
		t.Fatalf("the engine answered\n%s %s\nthe model\n%s %s", got, kind(gotErr), want, kind(wantErr))
	}
}

// kind tells errors apart by what the interface says of them.
func kind(err error) string {
	var exists *store.ExistsError
	var invalid *store.InvalidError
	switch {
	case errors.As(err, &exists):
		return fmt.Sprintf("exists %q key %q", exists.Name, exists.Key)
	case errors.As(err, &invalid):
		return "invalid " + invalid.Field
	}
	return fmt.Sprint(err)
}

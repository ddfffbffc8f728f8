// Package doctor looks at everything that a registry needs to go on, and says in
// plain words what it has found. It changes nothing, and can look while the
// registry is served.
package doctor

import (
	"context"
	"fmt"
	"time"

	"heirpress/server"
	"heirpress/server/store"
)

// Verdict is what is thought of a finding.
type Verdict int

// The verdicts, from the best to the worst.
const (
	Fine  Verdict = iota
	Watch         // it goes on, and somebody should look
	Wrong         // something has to be done
)

// String is the word that stands before a finding.
func (v Verdict) String() string { return [...]string{"fine", "look", "WRONG"}[v] }

// Finding is what was found about one thing.
type Finding struct {
	Verdict Verdict
	// About is the thing, in a word or two: "store".
	About string
	// Says is what was found, and what to do.
	Says string
}

// Config says what is looked at.
type Config struct {
	// Dir is the data folder.
	Dir string
	// Store is the address of a shared store; empty for the file in Dir.
	Store string
	// CertFile and KeyFile are those of TLS, if there is any.
	CertFile, KeyFile string
	// Now is the time; nil means time.Now.
	Now func() time.Time
}

// examination is an Examine under way.
type examination struct {
	Config
	tell func(Finding)
}

func (e *examination) fine(about, format string, args ...any)  { e.say(Fine, about, format, args) }
func (e *examination) watch(about, format string, args ...any) { e.say(Watch, about, format, args) }
func (e *examination) wrong(about, format string, args ...any) { e.say(Wrong, about, format, args) }

func (e *examination) say(v Verdict, about, format string, args []any) {
	e.tell(Finding{Verdict: v, About: about, Says: fmt.Sprintf(format, args...)})
}

// Examine looks at a registry and calls tell with each finding. It returns the
// worst verdict.
func Examine(ctx context.Context, c Config, tell func(Finding)) Verdict {
	worst := Fine
	if c.Now == nil {
		c.Now = time.Now
	}
	e := &examination{Config: c, tell: func(f Finding) {
		worst = max(worst, f.Verdict)
		tell(f)
	}}
	e.folder()
	e.disk()
	e.certificate()
	e.registry(ctx)
	return worst
}

// registry looks at the store, and at what hangs on it.
func (e *examination) registry(ctx context.Context) {
	s, err := e.open(ctx)
	if err != nil {
		e.wrong("store", "%v", err)
		return
	}
	defer s.Close()
	head, ok := e.journal(ctx, s)
	if !ok {
		return
	}
	e.index(s, head)
	e.matcher(ctx, s)
	e.deliveries(ctx, s)
}

// open opens a store that must be there.
func (e *examination) open(ctx context.Context) (store.Movable, error) {
	if e.Store == "" {
		if err := mustBeThere(server.File(e.Dir)); err != nil {
			return nil, err
		}
	}
	return server.OpenStore(ctx, e.Dir, e.Store)
}

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"heirpress/server/sidebyside/lots"
)

// bench is a run under way, and what it has found.
type bench struct {
	*options
	dir     string
	program string
	lots    *lots.Generator
	d       *daemon
	report  *report
}

// run does it all, and writes the report.
func run(ctx context.Context, o *options, to io.Writer) (err error) {
	b := &bench{options: o, lots: lots.New(o.seed), report: newReport(o)}
	if b.dir, err = folder(o.keep); err != nil {
		return err
	}
	if o.keep == "" {
		defer func() { err = errors.Join(err, os.RemoveAll(b.dir)) }()
	}
	b.note("building heirpressd")
	if b.program, err = buildDaemon(ctx, b.dir); err != nil {
		return err
	}
	if b.d, err = startDaemon(b.program, b.data()); err != nil {
		return err
	}
	defer func() {
		if b.d != nil {
			err = errors.Join(err, b.d.stop())
		}
	}()
	if err := b.begin(ctx); err != nil {
		return err
	}
	if err := b.sideBySide(ctx); err != nil {
		return err
	}
	_, err = io.WriteString(to, b.report.markdown())
	return err
}

// folder is where the data goes.
func folder(keep string) (string, error) {
	if keep == "" {
		dir, err := os.MkdirTemp("", "sidebyside-")
		if err != nil {
			return "", err
		}
		return dir, os.Chmod(dir, 0o755) // PostgreSQL runs as another
	}
	dir, err := filepath.Abs(keep)
	if err != nil {
		return "", err
	}
	return dir, os.MkdirAll(dir, 0o755)
}

func (b *bench) searches() searches {
	return searches{lots: b.lots, seed: b.seed, many: b.options.lots}
}

func (b *bench) data() string { return filepath.Join(b.dir, "heirpress") }

// begin loads heirpress, and measures how it starts and how soon posts are found:
// before the searches, for the rivals get these lots too.
func (b *bench) begin(ctx context.Context) (err error) {
	if b.report.loaded, err = b.load(ctx); err != nil {
		return err
	}
	b.note("heirpress: first searches of fresh processes")
	if b.d, b.report.first, err = measureFirst(ctx, b.program, b.data(), b.d, b.searches()); err != nil {
		return err
	}
	b.note("heirpress: how soon posts are found")
	poster, err := newPoster(ctx, b.d, b.lots)
	if err != nil {
		return err
	}
	b.report.fresh, err = measureFresh(ctx, b.d, poster)
	return err
}

// crowds measures heirpress under many clients.
func (b *bench) crowds(ctx context.Context) (err error) {
	if b.report.serving, err = readMemory(b.d.cmd.Process.Pid); err != nil {
		return err
	}
	b.note("heirpress: %d clients at once", crowdSize)
	if b.report.crowd, err = measureCrowd(ctx, b.d, b.searches(), min(crowdTime, b.long)); err != nil {
		return err
	}
	b.note("heirpress: deadlines")
	b.report.idling, err = measureDeadlines(ctx, b.d, b.searches(), min(hurryTime, b.long))
	return err
}

// load posts the lots, unless they are there from a run before.
func (b *bench) load(ctx context.Context) (*loaded, error) {
	file := filepath.Join(b.dir, "loaded.json")
	if text, err := os.ReadFile(file); err == nil {
		done := new(loaded)
		if err := json.Unmarshal(text, done); err != nil {
			return nil, fmt.Errorf("%s: %w", file, err)
		}
		if done.Lots != b.options.lots || done.Seed != b.seed {
			return nil, fmt.Errorf("%s holds %d lots of seed %d: remove it, or ask for those", b.dir, done.Lots, done.Seed)
		}
		if by := readBy(b.data()); by != done.ReadBy {
			return nil, fmt.Errorf("%s was loaded by a search that read lots otherwise: remove it", b.dir)
		}
		b.note("heirpress: %d lots are there from before", done.Lots)
		b.report.kept = true
		return done, waitSearchable(ctx, b.d, 0)
	}
	done, err := load(ctx, b.d, b.options, b.data())
	if err != nil {
		return nil, err
	}
	text, err := json.MarshalIndent(done, "", "  ")
	if err != nil {
		return nil, err
	}
	return done, os.WriteFile(file, append(text, '\n'), 0o600)
}

// measureAll measures every family that is wanted, on one engine right after the
// other: whatever else the machine does, it does to all of them.
func (b *bench) measureAll(ctx context.Context, engines []engine) {
	m := &measurer{searches: b.searches(), most: b.most, long: b.long}
	for _, f := range families {
		for _, e := range engines {
			if b.wants(f.flag()) && ctx.Err() == nil {
				b.measure(ctx, m, e, f)
			}
		}
	}
}

func (b *bench) measure(ctx context.Context, m *measurer, e engine, f family) {
	got := m.family(ctx, e, f)
	b.report.add(e.name(), f.name, got)
	if got.err != nil {
		b.note("%s: %v", e.name(), got.err)
		return
	}
	b.note("%s: %s: p50 %s, p99 %s ms, %.0f a second, %d found", e.name(), f.name, ms(got.figures.p50), ms(got.figures.p99), got.figures.perSecond, got.found)
}

// measureSteady measures the first families while lots are being posted.
func (b *bench) measureSteady(ctx context.Context, e engine) error {
	m := &measurer{searches: b.searches(), most: b.most, long: b.long}
	rate, err := steadily(ctx, e, func() {
		for _, f := range families[:steadyFamilies] {
			if !b.wants(f.flag()) || ctx.Err() != nil {
				continue
			}
			got := m.family(ctx, e, f)
			got.answers = nil // the lots are others in each
			b.report.add(e.name(), steadyName(f), got)
			b.note("%s: %s: p50 %s, p99 %s ms %s", e.name(), steadyName(f), ms(got.figures.p50), ms(got.figures.p99), errText(got.err))
		}
	})
	b.report.steady[e.name()] = rate
	return err
}

func steadyName(f family) string { return f.name + ", while posting" }

func errText(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}

// sideBySide brings the lots to the others and measures all; in the end, while
// lots are being posted.
func (b *bench) sideBySide(ctx context.Context) (err error) {
	others, closeAll, err := b.openRivals(ctx)
	defer func() { err = errors.Join(err, closeAll()) }()
	if err != nil {
		return err
	}
	for _, r := range others {
		if err := b.bring(ctx, r); err != nil {
			return err
		}
	}
	b.measureAll(ctx, b.engines(&heirpress{d: b.d}, others, true))
	if err := b.crowds(ctx); err != nil {
		return err
	}
	poster, err := newPoster(ctx, b.d, b.lots)
	if err != nil {
		return err
	}
	for _, e := range b.engines(&heirpress{d: b.d, poster: poster}, others, false) {
		if err := b.measureSteady(ctx, e); err != nil {
			return fmt.Errorf("%s while posting: %w", e.name(), err)
		}
	}
	return ctx.Err()
}

// engines is heirpress and the rivals; with bare, PostgreSQL without the total
// too.
func (b *bench) engines(h *heirpress, others []rival, bare bool) []engine {
	all := []engine{h}
	for _, r := range others {
		all = append(all, r)
		if p, ok := r.(*postgres); ok && bare {
			without := *p
			without.bare = true
			all = append(all, &without)
		}
	}
	return all
}

func (b *bench) bring(ctx context.Context, r rival) error {
	b.note("%s: bringing the lots", r.name())
	start := time.Now()
	err := bring(ctx, b.d, r, b.note)
	b.report.brought[r.name()], b.report.sizes[r.name()] = time.Since(start), r.size()
	return err
}

// openRivals opens those that are wanted; closeAll closes those that were
// opened.
func (b *bench) openRivals(ctx context.Context) (others []rival, closeAll func() error, err error) {
	closeAll = func() error {
		var errs []error
		for _, r := range others {
			errs = append(errs, r.close())
		}
		return errors.Join(errs...)
	}
	if b.with("sqlite") {
		s, err := openSQLiteEngine(filepath.Join(b.dir, "lots.sqlite"), b.lots)
		if err != nil {
			return nil, closeAll, err
		}
		others = append(others, s)
	}
	if b.with("postgres") {
		p, err := openPostgres(ctx, filepath.Join(b.dir, "postgres"), b.lots)
		if err != nil {
			return nil, closeAll, err
		}
		others = append(others, p)
	}
	return others, closeAll, nil
}

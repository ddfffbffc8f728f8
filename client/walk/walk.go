package walk

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"heirpress/client/sheet"
)

// Options are what a walk needs to know.
type Options struct {
	// Path is the sheet, a .yaml file. If it is there the walk goes on from it.
	Path string
	// In is where the answers come from, a line each.
	In io.Reader
	// Out is where the questions go.
	Out io.Writer
	// CheckTown tells what is wrong with the town of a shop; nil: any will do.
	CheckTown func(town string) error
	// Currency is that of prices which name none, by its three letters.
	Currency string

	// flush puts a file on the disk; nil is (*os.File).Sync.
	flush func(*os.File) error
}

// Ending is how a walk ended.
type Ending int

// How a walk can end. Only a finished one has written its sheet; the others go
// on when they are run again.
const (
	Finished Ending = iota + 1
	Left            // quit was said
	CutOff          // the answers ended, or the context did
)

// Report is what a walk came to.
type Report struct {
	// Ending is how it ended.
	Ending Ending
	// Lots is how many lots the sheet has, or the walk so far.
	Lots int
	// Journal is where the answers are kept until the walk is finished.
	Journal string
	// Before is where the sheet went that was there before; "" if none was.
	Before string
}

// walk is a walk under way.
type walk struct {
	*state
	o       Options
	journal *journal
	base    string
	lines   <-chan string
	failed  <-chan error
	told    int // the lot that was last announced
}

// Run asks until everything is said, quit is, or the answers end. The error is
// an *UnfitError for a sheet that cannot be gone on from, or for what cannot be
// read or saved.
func Run(ctx context.Context, o Options) (Report, error) {
	w, unlock, err := begin(o)
	if err != nil {
		return Report{}, err
	}
	defer unlock()
	if w.journal == nil { // the walk was finished, and only its journal was left
		return Report{Ending: Finished, Lots: len(w.state.lots), Journal: journalPath(o.Path)}, nil
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	w.lines, w.failed = readLines(ctx, o.In)
	report, err := w.ask(ctx)
	if report.Ending != Finished {
		err = errors.Join(err, w.journal.close())
	}
	return report, err
}

// readLines reads lines until there are no more, for a walk that has to hear of
// other things too.
func readLines(ctx context.Context, in io.Reader) (<-chan string, <-chan error) {
	lines, failed := make(chan string), make(chan error, 1)
	go func() {
		defer close(lines)
		scanner := bufio.NewScanner(in)
		scanner.Buffer(nil, 1<<20)
		for scanner.Scan() {
			select {
			case lines <- scanner.Text():
			case <-ctx.Done():
				return
			}
		}
		failed <- scanner.Err()
	}()
	return lines, failed
}

const intro = `One question at a time. Say what you see; an empty line takes what stands in
brackets, or passes the question over. These words do something else:
  help   what the question means, with an example
  back   take the last answer back (or: undo)
  skip   pass over a question
  done   that is all: write the sheet
  quit   stop here, and go on another day
To answer with one of these words, put it in quotes. Every answer is saved at once.
`

// ask asks questions until the walk ends.
func (w *walk) ask(ctx context.Context) (Report, error) {
	w.say("%s", intro)
	if n := len(w.answers); n > 0 {
		w.say("Going on where it was broken off, after answer %d.\n", n)
	}
	for {
		q, open := w.next()
		if !open {
			return w.finish()
		}
		w.put(q)
		text, ok, err := w.hear(ctx)
		if err != nil || !ok {
			return w.report(CutOff), err
		}
		switch end, err := w.take(q, text); {
		case err != nil:
			return w.report(CutOff), err
		case end == Finished:
			return w.finish()
		case end == Left:
			return w.report(Left), nil
		}
	}
}

func (w *walk) report(e Ending) Report {
	return Report{Ending: e, Lots: len(w.state.lots) + w.titled(), Journal: w.journal.path}
}

// hear waits for a line; ok is false if there is none any more.
func (w *walk) hear(ctx context.Context) (text string, ok bool, err error) {
	select {
	case <-ctx.Done():
		return "", false, nil
	case text, ok = <-w.lines:
	}
	if !ok {
		err = <-w.failed
	}
	if errors.Is(err, bufio.ErrTooLong) {
		err = errors.New("a line is longer than a million letters: the walk stops before it")
	}
	return strings.TrimSpace(text), ok, err
}

// put puts a question.
func (w *walk) put(q question) {
	if q.lot != w.told && q.lot > 0 {
		w.say("\nLot %d\n", q.lot)
		w.told = q.lot
	}
	w.say("%s", q.Ask)
	if q.usual != "" {
		w.say(" [%s]", q.usual)
	}
	w.say("\n> ")
}

// take does what a line says. The ending is 0 as long as the walk goes on.
func (w *walk) take(q question, text string) (Ending, error) {
	switch strings.ToLower(text) {
	case "help", "?":
		w.say("%s For example: %s\n", q.Help, q.Example)
		return 0, nil
	case "back", "undo":
		return 0, w.goBack()
	case "quit":
		return Left, nil
	case "done":
		return w.done(), nil
	case "skip":
		return 0, w.pass(q)
	case "":
		if text = q.usual; text == "" {
			return 0, w.pass(q)
		}
	}
	if inside, ok := strings.CutPrefix(text, `"`); ok && len(inside) > 1 && strings.HasSuffix(inside, `"`) && isWord(inside[:len(inside)-1]) {
		text = inside[:len(inside)-1]
	}
	kept, err := w.judge(q, text)
	if err != nil {
		w.say("That will not do: %v\n", err)
		return 0, nil
	}
	return 0, w.keep(q, kept)
}

// isWord tells whether a text is one of the words that do something.
func isWord(text string) bool {
	switch strings.ToLower(text) {
	case "help", "?", "back", "undo", "quit", "done", "skip":
		return true
	}
	return false
}

// pass passes over a question, unless it is needed.
func (w *walk) pass(q question) error {
	if q.need {
		w.say("This has to be said: %s For example: %s\n", q.Help, q.Example)
		return nil
	}
	return w.keep(q, "")
}

func (w *walk) keep(q question, text string) error {
	if err := w.journal.add(entry{Lot: q.lot, Key: q.key, Text: text}); err != nil {
		return err
	}
	w.state.take(q.at, text)
	return nil
}

func (w *walk) goBack() error {
	if len(w.answers) == 0 {
		w.say("This is the first question.\n")
		return nil
	}
	if err := w.journal.add(entry{Back: true}); err != nil {
		return err
	}
	w.state.back()
	w.told = -1
	return nil
}

// done ends a walk, if there is enough for a sheet.
func (w *walk) done() Ending {
	for _, q := range w.shopQuestions() {
		if _, said := w.said(at{0, q.Key}); !said && (q.Key == "title" || q.Key == "place") {
			w.say("A sheet has to say first what the shop is called and in which town it is.\n")
			return 0
		}
	}
	if title, _ := w.said(at{w.last(), "title"}); w.last() > 0 && title == "" {
		w.say("Lot %d has no title, and is left out.\n", w.last())
	}
	return Finished
}

func (w *walk) say(format string, args ...any) { fmt.Fprintf(w.o.Out, format, args...) }

func (o Options) sheetOptions() []sheet.Option {
	if o.Currency == "" {
		return nil
	}
	return []sheet.Option{sheet.Currency(o.Currency)}
}

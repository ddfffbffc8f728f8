package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"time"

	"google.golang.org/protobuf/encoding/protojson"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/deliver"
	"heirpress/server/store"
)

const deadLettersUsage = `heirpressd dead-letters shows what could not be delivered, and has it tried again.

  heirpressd dead-letters                     list them
  heirpressd dead-letters show ID             one of them, with the alerts it tells of
  heirpressd dead-letters retry ID            try it again; retry all tries every one

A running heirpressd takes up what is to be tried again within a second.

Flags:
`

// box is the dead-letter box as a call asks for it.
type box struct {
	data  string
	store string
	json  bool
	out   io.Writer
}

// deadLetters runs "heirpressd dead-letters".
func deadLetters(ctx context.Context, args []string, env func(string) string, stdout, stderr io.Writer) error {
	b := &box{out: stdout}
	words, err := b.parse(args, env, stdout)
	if errors.Is(err, flag.ErrHelp) {
		return err
	}
	do, err := b.task(words, err)
	if err != nil {
		fmt.Fprintf(stderr, "heirpressd: %v\nFor help: heirpressd dead-letters --help\n", err)
		return errUsage
	}
	return b.with(ctx, do)
}

// parse takes the flags out of a call, wherever they stand.
func (b *box) parse(args []string, env func(string) string, stdout io.Writer) (words []string, err error) {
	f := flag.NewFlagSet("heirpressd dead-letters", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	f.StringVar(&b.data, "data", dataDir(), "data `folder` of the registry")
	storeFlag(f, &b.store)
	f.BoolVar(&b.json, "json", false, "print JSON, a line each")
	return flagsAndWords(f, args, env, func() { helpWith(deadLettersUsage, f, stdout) })
}

// task is what the words of a call ask for.
func (b *box) task(words []string, wrong error) (func(context.Context, store.Store) error, error) {
	switch {
	case wrong != nil:
		return nil, wrong
	case len(words) == 0, len(words) == 1 && words[0] == "list":
		return b.list, nil
	case len(words) == 2 && words[0] == "show":
		return func(ctx context.Context, s store.Store) error { return b.show(ctx, s, words[1]) }, nil
	case len(words) == 2 && words[0] == "retry":
		return func(ctx context.Context, s store.Store) error { return b.retry(ctx, s, words[1]) }, nil
	}
	return nil, fmt.Errorf("%q is not understood: say list, show ID or retry ID", words)
}

// with opens the registry's store beside whoever has it open.
func (b *box) with(ctx context.Context, do func(context.Context, store.Store) error) error {
	s, err := openThere(ctx, b.data, b.store)
	if err != nil {
		return err
	}
	return errors.Join(do(ctx, s), s.Close())
}

func (b *box) list(ctx context.Context, s store.Store) error {
	all, err := deliver.DeadLetters(ctx, s)
	if err != nil {
		return err
	}
	if len(all) == 0 && !b.json {
		fmt.Fprintln(b.out, "The dead-letter box is empty.")
	}
	for _, d := range all {
		if err := b.print(d); err != nil {
			return err
		}
	}
	return nil
}

var channelWords = map[pb.Channel]string{pb.Channel_CHANNEL_EMAIL: "e-mail", pb.Channel_CHANNEL_WEBHOOK: "webhook"}

func (b *box) print(d *pb.Dispatch) error {
	if b.json {
		raw, err := protojson.Marshal(d)
		if err != nil {
			return err
		}
		return json.NewEncoder(b.out).Encode(json.RawMessage(raw))
	}
	fmt.Fprintf(b.out, "%s: %s for %s, %s, given up on %s after %s: %s\n", deliver.ID(d), channelWords[d.GetChannel()], d.GetWantedList(),
		about(d), d.GetEndTime().AsTime().Format("2 January 2006 15:04 MST"),
		counted(int(d.GetTries()), "try", "tries"), d.GetLastError())
	return nil
}

func about(d *pb.Dispatch) string {
	if d.GetConfirmation() {
		return "whether the address is the seeker's"
	}
	return counted(len(d.GetAlerts()), "alert", "alerts")
}

func counted(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}

func (b *box) show(ctx context.Context, s store.Store, id string) error {
	d, err := deliver.DeadLetter(ctx, s, id)
	if err != nil {
		return noLetter(id, err)
	}
	if err := b.print(d); err != nil || b.json {
		return err
	}
	for _, a := range d.GetAlerts() {
		fmt.Fprintf(b.out, "  %s\n", a)
	}
	return nil
}

func noLetter(id string, err error) error {
	if errors.Is(err, store.ErrNotFound) {
		return fmt.Errorf("there is no %q in the dead-letter box", id)
	}
	return err
}

func (b *box) retry(ctx context.Context, s store.Store, id string) error {
	ids := []string{id}
	if id == "all" {
		all, err := deliver.DeadLetters(ctx, s)
		if err != nil {
			return err
		}
		ids = nil
		for _, d := range all {
			ids = append(ids, deliver.ID(d))
		}
	}
	for _, one := range ids {
		if err := deliver.Retry(ctx, s, one, time.Now()); err != nil {
			return noLetter(one, err)
		}
	}
	fmt.Fprintf(b.out, "%s to be tried again\n", counted(len(ids), "dispatch", "dispatches"))
	return nil
}

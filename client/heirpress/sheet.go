package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"heirpress/client"
	"heirpress/client/sheet"
	"heirpress/client/sheet/form"
	"heirpress/search/trade"
)

type sheetFlags struct {
	blank, checklist, replace bool
	kind, out                 string
}

func (a *app) sheet() *cobra.Command {
	var f sheetFlags
	c := &cobra.Command{
		Use:   "sheet SHOP | --blank | --checklist",
		Short: "write a shop's lots as a sheet; a blank sheet; a checklist",
		Long: `Write the lots of a shop as an inventory sheet: .yaml holds all that is known of
them, .csv and .xlsx what their columns can hold. Posted again, a sheet changes
nothing.

With --blank, write a sheet to print and fill in by hand (.html), with the questions
that need no knowledge of the trade and drawings of what to measure; or an empty
table (.csv, .xlsx).

With --checklist, write what a family that clears a shop should ask, keep and leave
alone, each line with what it rests on (.html, or plain text).

A file that is there is left as it is, unless --replace is given.`,
		Example: `  heirpress sheet marrowby-job-printing-k3q7z -o marrowby.xlsx
  heirpress sheet --blank --kind press -o presses.html
  heirpress sheet --checklist`,
		RunE: func(c *cobra.Command, args []string) error { return a.writeSheet(c, args, f) },
	}
	c.Flags().BoolVar(&f.blank, "blank", false, "a blank sheet to fill in")
	c.Flags().StringVar(&f.kind, "kind", "", "only the questions on this `kind` of lot, with --blank")
	c.Flags().BoolVar(&f.checklist, "checklist", false, "the checklist for a family")
	c.Flags().StringVarP(&f.out, "out", "o", "", "the `file` to write; its ending says in which form")
	c.Flags().BoolVar(&f.replace, "replace", false, "write over a file that is there")
	complete(c, "kind", kindWords)
	return c
}

func (a *app) writeSheet(c *cobra.Command, args []string, f sheetFlags) error {
	switch {
	case f.blank && f.checklist:
		return wrongUsage(c, "--blank and --checklist are two things: give one")
	case f.kind != "" && !f.blank:
		return wrongUsage(c, "--kind goes with --blank")
	case (f.blank || f.checklist) && len(args) > 0:
		return wrongUsage(c, fmt.Sprintf("%q is a shop, and a blank sheet or a checklist is of none", args[0]))
	case f.blank:
		return a.blankSheet(c, f)
	case f.checklist:
		return a.checklist(c, f)
	}
	if err := words(1, 1, "the ID of a shop, or --blank, or --checklist")(c, args); err != nil {
		return err
	}
	format, err := sheet.FormatOf(orElse(f.out, ".yaml"))
	if err != nil {
		return wrongUsage(c, f.out+": a sheet is .yaml, .csv or .xlsx")
	}
	return a.with(c.Context(), func(conn *client.Client) error { return a.shopSheet(c.Context(), conn, args[0], format, f) })
}

// shopSheet writes the lots of a shop.
func (a *app) shopSheet(ctx context.Context, conn *client.Client, id string, format sheet.Format, f sheetFlags) error {
	written, err := conn.WriteSheet(ctx, id, format)
	if err != nil {
		return err
	}
	if err := a.put(f, written.Body); err != nil {
		return err
	}
	switch written.Less {
	case 0:
	case 1:
		a.note("1 lot says more than a table can hold: a .yaml sheet holds it all")
	default:
		a.note("%d lots say more than a table can hold: a .yaml sheet holds it all", written.Less)
	}
	return nil
}

func (a *app) blankSheet(c *cobra.Command, f sheetFlags) error {
	forms := form.Forms()
	if f.kind != "" {
		kind, err := trade.ParseKind(f.kind)
		if err != nil {
			return wrongUsage(c, "--kind: "+err.Error())
		}
		forms = []form.Form{form.Of(kind)}
	}
	var page bytes.Buffer
	var err error
	switch ext := strings.ToLower(filepath.Ext(f.out)); ext {
	case ".html", ".htm", "":
		err = form.HTML(&page, forms, f.kind == "")
	case ".csv", ".xlsx":
		err = sheet.WriteBlank(&page, sheet.Format(ext[1:]), form.Help(forms, sheet.Columns()))
	default:
		return wrongUsage(c, fmt.Sprintf("%s: a blank sheet is .html, .csv or .xlsx", f.out))
	}
	if err != nil {
		return err
	}
	return a.put(f, page.Bytes())
}

func (a *app) checklist(c *cobra.Command, f sheetFlags) error {
	write := map[string]func(io.Writer) error{"": form.ChecklistText, ".txt": form.ChecklistText, ".html": form.ChecklistHTML, ".htm": form.ChecklistHTML}[strings.ToLower(filepath.Ext(f.out))]
	if write == nil {
		return wrongUsage(c, fmt.Sprintf("%s: a checklist is .html or .txt", f.out))
	}
	var page bytes.Buffer
	if err := write(&page); err != nil {
		return err
	}
	return a.put(f, page.Bytes())
}

// put writes to the file that was named, or to standard output.
func (a *app) put(f sheetFlags, body []byte) error {
	if f.out == "" {
		_, err := a.out.Write(body)
		return err
	}
	how := os.O_CREATE | os.O_WRONLY | os.O_TRUNC
	if !f.replace {
		how |= os.O_EXCL
	}
	file, err := os.OpenFile(f.out, how, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s is there already: name another file, or add --replace", f.out)
	}
	if err != nil {
		return unreadable(f.out, err)
	}
	_, err = file.Write(body)
	if err := errors.Join(err, file.Close()); err != nil {
		return unreadable(f.out, err)
	}
	a.note("%s is written", f.out)
	return nil
}

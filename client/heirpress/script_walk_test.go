package main

import (
	"encoding/csv"
	"io"
	"os"
	"os/exec"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/xuri/excelize/v2"
)

// startfed is start with what a file holds on standard input, which then stays
// open: startfed NAME FILE PROGRAM ARG…
func startfed(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 3 {
		ts.Fatalf("usage: startfed NAME FILE PROGRAM ARG…")
	}
	inBackground(ts, args[0], args[2:], func(cmd *exec.Cmd) {
		in, err := cmd.StdinPipe()
		ts.Check(err)
		lines := ts.ReadFile(args[1])
		go io.WriteString(in, lines)
		ts.Defer(func() { in.Close() })
	})
}

// workbook makes a workbook of two sheets out of two tables: workbook FILE CSV CSV
func workbook(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: workbook FILE CSV CSV")
	}
	book := excelize.NewFile()
	for i, name := range []string{"Sheet1", "Upstairs"} {
		if i > 0 {
			_, err := book.NewSheet(name)
			ts.Check(err)
		}
		rows, err := csv.NewReader(strings.NewReader(ts.ReadFile(args[i+1]))).ReadAll()
		ts.Check(err)
		for r, row := range rows {
			cell, err := excelize.CoordinatesToCellName(1, r+1)
			ts.Check(err)
			ts.Check(book.SetSheetRow(name, cell, &row))
		}
	}
	out, err := os.Create(ts.MkAbs(args[0]))
	ts.Check(err)
	ts.Check(book.Write(out))
	ts.Check(out.Close())
}

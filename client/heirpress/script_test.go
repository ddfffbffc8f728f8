package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"heirpress/testdata/demo"
)

// daemonPath is heirpressd, built once for all tests.
var daemonPath string

// TestMain builds the daemon and makes this test program answer to the name of
// heirpress, so that the scripts run both as programs of their own.
func TestMain(m *testing.M) {
	testscript.Main(withDaemon{m}, map[string]func(){"heirpress": main, clockProgram: clockDaemon})
}

type withDaemon struct{ *testing.M }

func (w withDaemon) Run() int {
	dir, err := os.MkdirTemp("", "heirpressd-")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer os.RemoveAll(dir)
	daemonPath = filepath.Join(dir, "heirpressd")
	if out, err := exec.Command("go", "build", "-o", daemonPath, "heirpress/server/heirpressd").CombinedOutput(); err != nil {
		fmt.Fprintf(os.Stderr, "heirpressd cannot be built: %v\n%s", err, out)
		return 1
	}
	os.Setenv("PATH", dir+string(filepath.ListSeparator)+os.Getenv("PATH"))
	return w.M.Run()
}

// TestScripts runs testdata/script. Beside testscript's own commands there are
//
//	exits STATUS PROGRAM ARG…   run it; it must end with that status
//	jsonl FILE COUNT CHECK…     see jsonl
//	column FILE PATH OUT        write one field of every line to a file
//	remember NAME FILE PATH     put one field of the first line into the environment
//	shopof NAME LOT             put the shop of a lot's name into the environment
//	distinct FILE               no line of a file may be there twice
//	start NAME PROGRAM ARG…     run it in the background, into NAME.out and NAME.err
//	startfed NAME FILE PROGRAM… the same, with the file on standard input, which stays open
//	picture FILE ORIENTATION    make a picture as a camera does, 64 x 32; PNG by its name, else JPEG
//	workbook FILE CSV CSV       make a workbook of two sheets, Sheet1 and Upstairs
//	until FILE PATTERN          wait until a file has it
//	end NAME SIGNAL STATUS      signal what was started; it must end with that status
//	daemon NAME ARG…            start heirpressd on the folder NAME; SERVER is its address
//	mailserver FILE [refuses]   start a mail server that writes to FILE; SMTP is its address
//	hook FILE                   start a web server that writes to FILE; HOOK is its address
//	click METHOD URL FILE       follow an address, and write status and page to FILE
//	capture NAME FILE PATTERN   put what a pattern's group matches into the environment
//	certificate                 make cert.pem, which is its own authority, and key.pem
//	mode FILE OCTAL             a file's permissions must be those
//
// Every script has the demo's sheets in its folder, and a registry of its own.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup:               prepare,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits":       exits,
			"jsonl":       jsonl,
			"column":      column,
			"remember":    remember,
			"shopof":      shopof,
			"distinct":    distinct,
			"start":       start,
			"startfed":    startfed,
			"picture":     picture,
			"workbook":    workbook,
			"until":       until,
			"end":         end,
			"daemon":      daemon,
			"mailserver":  mailserver,
			"hook":        hook,
			"router":      router,
			"click":       click,
			"capture":     capture,
			"certificate": certificate,
			"mode":        mode,
		},
	})
}

func prepare(e *testscript.Env) error {
	e.Setenv("HOME", filepath.Join(e.WorkDir, "home"))
	e.Setenv("HEIRPRESS_DATA", filepath.Join(e.WorkDir, "data"))
	e.Setenv("GORACE", "atexit_sleep_ms=0") // else every program built with -race takes a second to end
	e.Setenv("SOON", time.Now().AddDate(0, 0, 5).Format(time.DateOnly))
	e.Values[running{}] = map[string]*process{}
	return fs.WalkDir(demo.FS, ".", func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		body, err := fs.ReadFile(demo.FS, path)
		if err != nil {
			return err
		}
		return os.WriteFile(filepath.Join(e.WorkDir, path), body, 0o600)
	})
}

func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits STATUS PROGRAM ARG…")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	if got := statusOf(ts.Exec(args[1], args[2:]...)); got != want {
		ts.Fatalf("%v ended with status %d, want %d", args[1:], got, want)
	}
}

// statusOf is the exit status that an error of running a program stands for.
func statusOf(err error) int {
	var ended *exec.ExitError
	switch {
	case err == nil:
		return 0
	case errors.As(err, &ended):
		return ended.ExitCode()
	}
	return -1
}

package main

import (
	"os"
	"strconv"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"

	"heirpress/server/photo/phototest"
)

func picture(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: picture FILE ORIENTATION")
	}
	orientation, err := strconv.ParseUint(args[1], 10, 16)
	ts.Check(err)
	write := phototest.JPEG
	if strings.HasSuffix(args[0], ".png") {
		write = phototest.PNG
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), write(phototest.Corners(64, 32), uint16(orientation)), 0o600))
}
